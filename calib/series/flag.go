package series

// Flag says why a corrected value must not be believed. The zero Flag is a
// value that can be.
type Flag uint8

// The flags, in the order in which one goes before another where two apply.
const (
	Believed          Flag = iota
	Blank                  // the reading, or a temperature it needs, is not there
	NotANumber             // it is no number
	BeforeCalibration      // no calibration applies yet: none was made, or none since the meter was adjusted
	Dry                    // the probe was out of the liquid
	OutOfRange             // outside what the meter can show, or was calibrated for
	Stale                  // too long after the last calibration
)

// flagWords are the flags as logs show them.
var flagWords = [...]string{"", "blank", "not-a-number", "before-calibration", "dry", "out-of-range", "stale"}

// String returns the word for a flag: empty for a value that can be believed.
func (f Flag) String() string { return flagWords[f] }

// Flags are all flags but Believed.
func Flags() []Flag {
	return []Flag{Blank, NotANumber, BeforeCalibration, Dry, OutOfRange, Stale}
}

// Valued tells whether there is a corrected value under this flag.
func (f Flag) Valued() bool { return f == Believed || f >= Dry }
