package serve

import (
	"fmt"
	"net"
	"net/netip"
	"strings"

	"rsc.io/qr"
)

// Port is the port where none is said: not among those that IANA registers, and the same each time,
// since a phone keeps what it typed by address and port.
const Port = 48019

// Address reads where to listen: an address with or without a port, of a private network or this
// computer's own; loopback where nothing is said.
func Address(text string) (netip.AddrPort, error) {
	if text == "" {
		return netip.AddrPortFrom(netip.AddrFrom4([4]byte{127, 0, 0, 1}), Port), nil
	}
	at, err := netip.ParseAddrPort(text)
	if err != nil {
		ip, bad := netip.ParseAddr(text)
		if bad != nil {
			return at, fmt.Errorf("%q is no address like 192.168.1.20 or 192.168.1.20:%d", text, Port)
		}
		at = netip.AddrPortFrom(ip, Port)
	}
	switch ip := at.Addr(); {
	case ip.IsUnspecified():
		return at, fmt.Errorf("%s: one address, since the code has to name it", ip)
	case ip.Zone() != "" || ip.Is4In6():
		return at, fmt.Errorf("%s: an address of the usual form, without a zone", ip)
	case !ip.IsLoopback() && !ip.IsPrivate() && !ip.IsLinkLocalUnicast():
		return at, fmt.Errorf("%s is no address of a private network: the whole world could knock", ip)
	}
	return at, nil
}

// Own are this computer's addresses on private networks.
func Own() []string {
	var own []string
	all, _ := net.InterfaceAddrs() // none are told where the system tells none
	for _, a := range all {
		if n, ok := a.(*net.IPNet); ok && n.IP.IsPrivate() && n.IP.To4() != nil {
			own = append(own, n.IP.String())
		}
	}
	return own
}

// Code draws an address as a square code, two rows of it a line, with the quiet zone of four that
// the standard (ISO/IEC 18004) asks for. Light parts are drawn as well as dark ones, in colors of
// its own: a terminal may be either.
func Code(address string) (string, error) {
	code, err := qr.Encode(address, qr.L)
	if err != nil {
		return "", err
	}
	const quiet = 4
	dark := func(x, y int) bool { return x >= 0 && y >= 0 && x < code.Size && y < code.Size && code.Black(x, y) }
	var b strings.Builder
	for y := -quiet; y < code.Size+quiet; y += 2 {
		b.WriteString("  \x1b[38;5;231;48;5;16m") // white on black, of the fixed colors
		for x := -quiet; x < code.Size+quiet; x++ {
			below := y+1 < code.Size+quiet && !dark(x, y+1)
			switch above := !dark(x, y); {
			case above && below:
				b.WriteString("█")
			case above:
				b.WriteString("▀")
			case below:
				b.WriteString("▄")
			default:
				b.WriteString(" ")
			}
		}
		b.WriteString("\x1b[0m\n")
	}
	return b.String(), nil
}
