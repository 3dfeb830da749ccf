package measure

// Angle is a plane angle in nanodegrees (1e-9 degree). Whole degrees, minutes
// of arc only in part (1' = 16,666,666.67 nanodegrees).
type Angle int64

// Degree is one degree of arc.
const Degree Angle = 1_000_000_000
