package model

// Exact factors to SI (NIST Handbook 44, Appendix C; NIST SP 811, Appendix B).
const (
	Inch              = 0.0254             // m
	Foot              = 0.3048             // m
	Pound             = 0.45359237         // kg
	Ounce             = Pound / 16         // kg
	SquareFoot        = Foot * Foot        // m²
	CubicFoot         = Foot * Foot * Foot // m³
	PoundPerCubicFoot = Pound / CubicFoot  // kg/m³
	RValue            = 0.176110           // m²·K/W in one °F·h·ft²/Btu

	InchOfWater        = 249.08891      // Pa, conventional (SP 811 App. B: 2.490889 E+02); from memory
	CubicFootPerMinute = CubicFoot / 60 // m³/s
)
