// Package measure holds the exact quantities of the trade: lengths in integer
// nanometres, angles in integer nanodegrees, volumes, the integer arithmetic they
// need, and the text a tape measure or a plat shows them in.
package measure

// Length is a length in nanometres. An inch (25,400,000 nm), 1/64 in
// (396,875 nm) and a millimetre are exact; 1/3 in is not (8,466,666.67 nm).
// Sums of lengths up to MaxLength stay in range; products go through
// MulDivFloor, MulDivRound or the volume functions, never through plain
// multiplication.
type Length int64

// Units. All are exact [NIST SP 811: the inch is 25.4 mm].
const (
	Nanometre  Length = 1
	Millimetre Length = 1_000_000
	Centimetre        = 10 * Millimetre
	Metre             = 1000 * Millimetre
	Inch       Length = 25_400_000
	Foot              = 12 * Inch
	Yard              = 3 * Foot
	Mile              = 5280 * Foot

	Sixteenth    = Inch / 16
	SixtyFourth  = Inch / 64
	MaxLength    = 500 * 1000 * Metre // the longest run and the largest coordinate
	MaxSiteTotal = 1000 * 1000 * Metre
)

// Abs is the magnitude of l.
func (l Length) Abs() Length {
	if l < 0 {
		return -l
	}
	return l
}
