package scenario

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"github.com/brinemark/brinemark/calib/tempcomp"
)

// What happens to the tub in the four weeks of its log, a row every ten minutes.
var (
	// LogBegins and LogEnds are the first and the last row of the log.
	LogBegins = at(2026, time.January, 17, 18, 30)
	LogEnds   = at(2026, time.February, 14, 17, 30)
	// Emptied is when the tub is emptied to be scrubbed: the probe hangs dry.
	Emptied = at(2026, time.January, 24, 9, 0)
	// Refilled is when it is filled with fresh, weaker nutrient.
	Refilled = at(2026, time.January, 24, 12, 30)
	// ToppedUp is when water is added, by and by.
	ToppedUp = at(2026, time.February, 5, 19, 0)

	benchBegins = at(2026, time.January, 31, 17, 20) // the probe is on the bench, and nothing is logged
	benchEnds   = at(2026, time.January, 31, 18, 40)
)

const (
	logStep       = 10 * time.Minute
	thirstPerDay  = 0.007 // the plants drink more water than salt
	toppingUp     = time.Hour
	tubAlpha      = 0.0195 // per C; it is corrected by AlphaPercent
	toppedUp      = 0.88   // strength after over strength before
	tubScatter    = 0.0015
	tubResolution = 1.0
	tubTempStepC  = 0.1
	tubTempOffC   = 0.1 // the tub's thermometer shows so much too much
)

// LogRow is a row of the tub's log, and what was true then.
type LogRow struct {
	Time   time.Time
	EC     float64 // what the probe shows, uS/cm, not compensated
	WaterC float64
	TrueEC float64 // of the liquid at 25 C
	Dry    bool
}

// strength is what the liquid in the tub conducts at 25 C, in uS/cm.
func strength(t time.Time) float64 {
	switch {
	case t.Before(Refilled):
		return 1420 * math.Exp(thirstPerDay*days(LogBegins, t))
	case t.Before(ToppedUp):
		return 1310 * math.Exp(thirstPerDay*days(Refilled, t))
	}
	poured := math.Min(1, float64(t.Sub(ToppedUp))/float64(toppingUp))
	return (1 - poured*(1-toppedUp)) * 1310 * math.Exp(thirstPerDay*days(Refilled, t))
}

// TubLog is the log of the tub.
func TubLog() ([]LogRow, error) {
	warmth, err := tempcomp.NewLinear(tubAlpha, 25)
	if err != nil {
		return nil, err
	}
	hand := rand.New(rand.NewPCG(40, 32))
	var out []LogRow
	for t := LogBegins; !t.After(LogEnds); t = t.Add(logStep) {
		if t.After(benchBegins) && t.Before(benchEnds) {
			continue
		}
		hour := float64(t.Hour()) + float64(t.Minute())/60
		water := 20.8 + 0.9*math.Sin(2*math.Pi*(hour-10)/24) + 0.4*math.Sin(days(LogBegins, t)/3)
		factor, err := warmth.Factor(water)
		if err != nil {
			return nil, fmt.Errorf("the tub at %s: %w", t.Format(time.RFC3339), err)
		}
		r := LogRow{Time: t, TrueEC: strength(t), Dry: !t.Before(Emptied) && t.Before(Refilled)}
		r.WaterC = round(water+tubTempOffC+0.03*hand.NormFloat64(), tubTempStepC)
		r.EC = round(Probe.gain(t)*r.TrueEC*factor*(1+tubScatter*hand.NormFloat64()), tubResolution)
		if r.Dry {
			r.EC = round(5+hand.NormFloat64(), tubResolution)
		}
		out = append(out, r)
	}
	return out, nil
}
