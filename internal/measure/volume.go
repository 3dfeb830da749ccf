package measure

// Volume is a volume in ten-thousandths of a cubic foot, the unit a hole's
// concrete is rounded to (half up), so that sums over holes are exact.
type Volume int64

// CubicFoot is one cubic foot.
const CubicFoot Volume = 10_000
