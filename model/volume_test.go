package model_test

import (
	"math"
	"testing"

	"bayproof/model"
)

func at(v float64) model.Reading {
	return model.Reading{State: model.Measured, Values: []float64{v}, Within: math.NaN()}
}

// piece is a solid by its numbers; a NaN is a size that was not given.
func piece(shape model.Shape, w, w2, d, d2, l, l2, bulge float64) model.Piece {
	p := model.Piece{Shape: shape}
	for i, v := range []float64{w, w2, d, d2, l, l2, bulge} {
		if !math.IsNaN(v) {
			*p.Readings()[i] = at(v)
		}
	}
	return p
}

// TestPublishedVolumes: the published solids. The tolerance is the half of the last digit that is
// printed, or a few times the spacing of floating-point numbers where the answer is exact.
func TestPublishedVolumes(t *testing.T) {
	nan := math.NaN()
	const in, ft = 1.0 / 12, 1.0
	for _, x := range []struct {
		source string
		p      model.Piece
		want   float64
		within float64
	}{
		{"Moscow Mathematical Papyrus, problem 14", piece(model.ShapeTaper, 4, 2, 4, 2, 6, nan, nan), 56, 1e-12},
		{"a school text: frustum 0.25 m, 1 and 0.6 m", piece(model.ShapeTaper, 1, 0.6, 1, 0.6, 0.25, nan, nan), 0.163333, 5e-7},
		{"an old mensuration text: log 10 and 15 in, 18 ft, in ft³", piece(model.ShapeTaper, 10*in, 15*in, 10*in, 15*in, 18*ft, nan, nan), 19.791667, 5e-7},
		{"a surveying text: tank 72×48 m and 85.2×59 m at 4.4 m", piece(model.ShapeTaper, 72, 85.2, 48, 59, 4.4, nan, nan), 18555.68, 5e-3},
		{"a handbook's rule of thumb: a wall bay of 14.5 × 3.5 × 96 in, in ft³", piece(model.ShapeBox, 14.5*in, nan, 3.5*in, nan, 8*ft, nan, nan), 2.8194, 5e-5},
		{"core plug: 2⅛-in hole in a 3½-in bay, in ft³", piece(model.ShapeRound, 2.125*in, nan, nan, nan, 3.5*in, nan, nan), 0.0071834, 5e-8},
		{"netting, geometry: 1 in of bulge on 5½ in is 12 % more", piece(model.ShapeBox, 1, nan, 5.5, nan, 1, nan, 1), 5.5 * 1.12, 0.01 * 5.5},
	} {
		if got := x.p.Volume(); !(math.Abs(got-x.want) <= x.within) {
			t.Errorf("%s: %v, want %v ± %v", x.source, got, x.want, x.within)
		}
	}
}

// TestPrismsOfSunTzu: trapezoidal prisms as a box with the mean breadth; breadths are the ends of a
// section, so the prism lies on its side: its depth runs from one breadth to the other (Sun Tzu's
// Mathematical Manual II 17, 22, 23).
func TestPrismsOfSunTzu(t *testing.T) {
	for _, x := range []struct{ a, b, height, length, want float64 }{
		{50, 30, 20, 60, 48000}, {20, 54, 38, 5550, 7803300}, {12.6, 8, 18, 52824, 9793569.6},
	} {
		nan := math.NaN()
		p := piece(model.ShapeTaper, x.length, nan, x.a, x.b, x.height, nan, nan)
		if got := p.Volume(); math.Abs(got-x.want) > 1e-9*x.want {
			t.Errorf("%v × %v: %v, want %v", x.a, x.b, got, x.want)
		}
	}
}

// TestVolumeLaws: what any solid must obey.
func TestVolumeLaws(t *testing.T) {
	nan := math.NaN()
	box := piece(model.ShapeBox, 0.5, nan, 0.14, nan, 3, nan, nan)
	same := piece(model.ShapeTaper, 0.5, 0.5, 0.14, 0.14, 3, 3, 0)
	wedge := piece(model.ShapeWedge, 0.5, nan, 0.14, nan, 3, nan, nan)
	skew := piece(model.ShapeBox, 0.5, nan, 0.14, nan, 4, 2, nan)
	point := piece(model.ShapeBox, 0.5, nan, 0.14, nan, 6, 0, nan)
	unsaid := piece(model.ShapeUnsaid, 0.5, nan, 0.14, nan, 3, nan, nan)
	turned := piece(model.ShapeTaper, 0.4, 0.5, 0.1, 0.14, 3, nan, nan)
	turned2 := piece(model.ShapeTaper, 0.5, 0.4, 0.14, 0.1, 3, nan, nan)
	v := box.Volume()
	for _, x := range []struct {
		law       string
		got, want float64
	}{
		{"a taper with equal ends is a box", same.Volume(), v},
		{"a wedge is half a box", wedge.Volume(), v / 2},
		{"a skew end takes the mean of its sides", skew.Volume(), v},
		{"a side that runs to nothing is half", point.Volume(), v},
		{"a shape unsaid is a box", unsaid.Volume(), v},
		{"the ends of a taper may be swapped", turned.Volume(), turned2.Volume()},
		{"0.5 × 0.14 × 3", v, 0.21},
		{"a box shows width times length", box.Dims().Face(), 1.5},
		{"a wedge shows as much as a box", wedge.Dims().Face(), 1.5},
		{"a tapering face has its mean width", turned.Dims().Face(), 1.35},
		{"a skew face has its mean length", skew.Dims().Face(), 1.5},
	} {
		if math.Abs(x.got-x.want) > 1e-15 {
			t.Errorf("%s: %v, want %v", x.law, x.got, x.want)
		}
	}
	flat := piece(model.ShapeBox, 0.5, nan, nan, nan, 3, nan, nan)
	if got := flat.Volume(); !math.IsNaN(got) {
		t.Errorf("a bay without a depth has a volume: %v", got)
	}
}

// TestBulgeOfAWedge: the netting stands out over the whole face, whatever the depth behind it.
func TestBulgeOfAWedge(t *testing.T) {
	nan := math.NaN()
	flat := piece(model.ShapeWedge, 0.5, nan, 0.2, nan, 2, nan, nan)
	out := piece(model.ShapeWedge, 0.5, nan, 0.2, nan, 2, nan, 0.03)
	if got, want := out.Volume()-flat.Volume(), 0.5*2*0.02; math.Abs(got-want) > 1e-15 {
		t.Errorf("a bulge of 30 mm adds %v m³, want %v", got, want)
	}
}

// TestBayVolume: pieces add, less takes away.
func TestBayVolume(t *testing.T) {
	nan := math.NaN()
	own, more, less := piece(model.ShapeBox, 1, nan, 1, nan, 3, nan, nan), piece(model.ShapeBox, 1, nan, 1, nan, 2, nan, nan), piece(model.ShapeBox, 1, nan, 1, nan, 1, nan, nan)
	less.Less = true
	b := model.Bay{Pieces: []*model.Piece{&own, &more, &less}}
	if got := b.Volume(); got != 4 {
		t.Errorf("3 + 2 - 1 is %v", got)
	}
	if got := b.Face(); got != 4 {
		t.Errorf("faces of 3 + 2 - 1 are %v", got)
	}
	if none := new(model.Bay); !math.IsNaN(none.Volume()) || !math.IsNaN(none.Face()) {
		t.Errorf("a bay without sizes has volume %v and face %v", none.Volume(), none.Face())
	}
}
