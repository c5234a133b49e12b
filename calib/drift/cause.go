package drift

import (
	"fmt"
	"math"

	"github.com/brinemark/brinemark/calib/check"
)

// What differs between references is no slip of a bottle but has a cause of its
// own: a pH electrode whose slope weakens, a zero error of a conductivity meter.

// certain is how many standard deviations a component must be from nothing
// before it is named as a cause, and large how much of the tolerance (or of a
// usual error) it must take up where it counts most.
const (
	certain = 3.0
	large   = 0.5
)

// cause names what makes the error differ between references, where it is
// certain and large.
func (r *Result) cause(t *timeline) {
	part, most := r.Gain, t.scale
	if t.relative {
		part = r.Zero
	}
	low, high := t.refRange()
	if part == nil || low == high || math.Abs(part.Now.Value) < certain*part.Now.U {
		return
	}
	if r.Tolerance != nil {
		most = r.Limit
	}
	if math.Abs(part.Now.Value*t.span) < large*most {
		return
	}
	kind, text := r.causeText(t, part.Now, low, high)
	r.Alarms = append(r.Alarms, Alarm{r.Now, kind, text})
}

func (r *Result) causeText(t *timeline, part Figure, low, high float64) (AlarmKind, string) {
	switch {
	case t.relative:
		word := "high"
		if part.Value < 0 {
			word = "low"
		}
		return AlarmZero, fmt.Sprintf("a zero error: it reads about %s ± %s too %s at any strength (in the unit of the readings), which is %s of a reference of %s and %s of one of %s",
			figures(math.Abs(part.Value), part.U), figures(part.U, part.U), word, r.plain(part.Value/low), number(low), r.plain(part.Value/high), number(high))
	case t.kind == check.PH && part.Value < 0:
		return AlarmWeakSlope, fmt.Sprintf("the electrode's slope has weakened: what is shown moves only %s ± %s %% as far from pH 7 as the buffers do. Adjusting in two buffers takes it up; calibrate shows what is left of the slope",
			figures(100*(1+part.Value), 100*part.U), figures(100*part.U, 100*part.U))
	case t.kind == check.PH:
		return AlarmGain, fmt.Sprintf("what is shown moves %s ± %s %% as far from pH 7 as the buffers do: a buffer that was not what its label says when it was adjusted, or one that has aged since?",
			figures(100*(1+part.Value), 100*part.U), figures(100*part.U, 100*part.U))
	}
	return AlarmGain, fmt.Sprintf("a gain error: from a reference of %s to one of %s the error moves by %s", number(low), number(high), r.plain(part.Value*(high-low)))
}

// figures writes a figure to two digits of its uncertainty.
func figures(x, u float64) string { return fmt.Sprintf("%.*f", decimals(u), x) }
