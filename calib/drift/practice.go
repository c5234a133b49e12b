package drift

import "github.com/brinemark/brinemark/calib/check"

// Practice is how often meters of a kind are commonly checked. All of it is
// common practice among growers, without a single source; how to choose and
// review an interval is the subject of ILAC-G24/OIML D 10:2022.
type Practice struct {
	Days int    // the longest interval
	Text string // who has it
}

// The guideline on intervals. By its method 2 (control chart), the interval
// follows from the course of the meter's own checks; its clause 5 is about the
// interval before there are any.
const (
	Guidance    = "ILAC-G24/OIML D 10:2022, 6.3"
	FirstChoice = "ILAC-G24/OIML D 10:2022, 5"
)

// CommonPractice is the interval for a kind.
func CommonPractice(kind check.Kind) Practice {
	switch kind {
	case check.PH:
		return Practice{14, "a pH electrode is commonly checked every 7 to 14 days"}
	case check.Temperature, check.Humidity, check.CO2:
		return Practice{180, "such a probe is commonly checked every 90 to 180 days"}
	case check.Oxygen:
		return Practice{30, "an oxygen probe is commonly checked every 30 days"}
	case check.EC:
		return Practice{30, "a conductivity meter is commonly checked every 30 days"}
	}
	return Practice{30, "a meter is commonly checked every 30 days"}
}
