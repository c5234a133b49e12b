package electrode

import (
	"fmt"
	"math"

	"github.com/brinemark/brinemark/calib/conformity"
)

// Fault is a picture that the figures of an electrode can show, with what
// usually causes it and what to do. All of it is common practice; the limits
// that come from a publication stand in [Criteria].
type Fault struct {
	ID     string
	Looks  string   // what is seen
	Causes string   // what it usually comes from
	Remedy []string // in the order in which to try
	fits   func(r *Result) bool
}

// clean and recondition are the steps that come before any replacement.
const (
	clean       = "clean: rinse; against scale a short dip in dilute acid (0.1 mol/L), against fat or slime a mild detergent; rinse again, do not wipe the bulb"
	recondition = "recondition: stand it in storage solution (about 3 mol/L potassium chloride) for some hours, never in distilled water"
	again       = "calibrate again in fresh buffers"
)

// slopeIn matches a slope in percent, low included, high not.
func slopeIn(low, high float64) func(*Result) bool {
	return func(r *Result) bool {
		return r.SlopePercent != nil && r.SlopePercent.Value >= low && r.SlopePercent.Value < high
	}
}

// offsetSize is the offset as a potential; a display's is turned into one.
func (r *Result) offsetSize() float64 {
	switch {
	case r.OffsetMV != nil:
		return math.Abs(r.OffsetMV.Value)
	case r.OffsetPH != nil:
		return math.Abs(r.OffsetPH.Value) * nernst(r.TempC)
	}
	return 0
}

// Faults returns every picture, gravest first. They cover all slopes: below 95
// and from 102 % on each has its picture, and between there is none.
func Faults() []Fault {
	return []Fault{
		{ID: "dead", fits: slopeIn(math.Inf(-1), 50),
			Looks:  "slope below 50 %: the reading hardly moves between buffers",
			Causes: "a cracked bulb, a wet or broken connector, a bulb that has dried out",
			Remedy: []string{"look at the bulb, and dry and reseat the connector", recondition, "replace it if the slope stays"}},
		{ID: "weak", fits: slopeIn(50, 85),
			Looks:  "slope below 85 %",
			Causes: "a fouled, dried or worn-out bulb",
			Remedy: []string{clean, recondition, again, "replace it if the slope stays below 85 %"}},
		{ID: "tired", fits: slopeIn(85, 90),
			Looks:  "slope from 85 to 90 %",
			Causes: "fouling or age",
			Remedy: []string{clean, recondition, again, "plan a replacement if it stays below 90 %"}},
		{ID: "ageing", fits: slopeIn(90, 95),
			Looks:  "slope from 90 to 95 %: usable",
			Causes: "light fouling or age",
			Remedy: []string{"use it with this calibration", "clean it soon and check it more often"}},
		{ID: "steep", fits: slopeIn(102, math.Inf(1)),
			Looks:  "slope of 102 % or more: no electrode is steeper than the ideal one",
			Causes: "a spoiled or mistaken buffer, a wrong temperature, a reading taken before it was steady",
			Remedy: []string{"read the temperature of the buffers", "repeat with fresh buffers and wait until the reading holds"}},
		{ID: "bad-buffer", fits: func(r *Result) bool {
			for _, c := range r.Checks {
				if c.Criterion.Quantity == CheckBufferPH && c.Criterion.Binding && !c.Met {
					return true
				}
			}
			return false
		},
			Looks:  "a third buffer is off the line through the other two by more than 0.1 pH",
			Causes: "a spoiled buffer: the alkaline one first, which takes up carbon dioxide and falls; or buffers that changed places",
			Remedy: []string{"pour fresh buffers, the alkaline one from a newly opened bottle", again, "if it stays, the bulb is worn: use two buffers that bracket the sample, or replace it"}},
		{ID: "offset", fits: func(r *Result) bool { return r.offsetSize() > 30 },
			Looks:  "more than 30 mV (half a pH) at pH 7",
			Causes: "a clogged junction, a spoiled or exhausted reference electrolyte, or a spoiled pH 7 buffer",
			Remedy: []string{"repeat with a fresh pH 7 buffer", "clean the junction and soak it in storage solution; refill the electrolyte where that is possible", "replace it if the offset stays"}},
	}
}

// advise fills Faults and Advice.
func (r *Result) advise() {
	for _, f := range Faults() {
		if f.fits(r) {
			r.Faults = append(r.Faults, f)
		}
	}
	for _, f := range r.Faults {
		r.Advice = append(r.Advice, fmt.Sprintf("%s (%s)", f.Looks, f.Causes))
		r.Advice = append(r.Advice, f.Remedy...)
	}
	switch {
	case len(r.Faults) > 0:
	case r.SlopePercent == nil:
		r.Advice = append(r.Advice, "read a second buffer, 3 to 4 pH away, to see the slope")
	case r.Basis == ByDisplay:
		r.Advice = append(r.Advice, fmt.Sprintf("slope %.1f %% of the stored one: it has hardly changed since that calibration", r.SlopePercent.Value))
	default:
		r.Advice = append(r.Advice, fmt.Sprintf("slope %.1f %% of ideal, %.1f mV at pH 7: healthy, leave it as it is", r.SlopePercent.Value, r.OffsetMV.Value))
	}
	if r.Verdict == conformity.Undecided && r.SlopePercent != nil {
		r.Advice = append(r.Advice, r.decider())
	}
}

// decider says what would settle an undecided verdict.
func (r *Result) decider() string {
	switch {
	case r.Basis == ByDisplay:
		return "undecided: the criteria are about the ideal slope; read the buffers in mV, or reset the meter's calibration and read them again"
	case r.SlopePercent.U == nil:
		return "undecided: no uncertainty is known; state those of buffers and readings, or read a third buffer"
	case r.fit.dof < 10:
		return "undecided: few points make a wide interval; state the uncertainty of buffers and readings, or read each buffer again"
	}
	return "undecided: the interval reaches across a limit; repeat with fresh buffers and a longer wait"
}
