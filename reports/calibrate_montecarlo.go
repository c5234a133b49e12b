package reports

import (
	"fmt"
	"io"

	"github.com/brinemark/brinemark/calib/check"
)

// CalibrateMonteCarlo is the independent check by simulation (JCGM 101).
type CalibrateMonteCarlo struct {
	Draws     int                      `json:"draws"`
	Seed      uint64                   `json:"seed"`
	Settled   bool                     `json:"settled"`
	Slope     SimulatedFigure          `json:"slope"`
	Intercept *SimulatedFigure         `json:"intercept"` // null for a gain
	At        List[SimulatedAtReading] `json:"at"`
	PWithin   Number                   `json:"p_within"`
	Differs   List[string]             `json:"differs"`
}

// SimulatedFigure is one figure by simulation; the value is a median where few
// degrees of freedom leave no mean, and u is null then.
type SimulatedFigure struct {
	Value   float64 `json:"value"`
	U       Number  `json:"u"`
	Low     float64 `json:"low"`
	High    float64 `json:"high"`
	Differs bool    `json:"differs"`
}

// SimulatedAtReading is a corrected value by simulation.
type SimulatedAtReading struct {
	Reading float64 `json:"reading"`
	SimulatedFigure
}

func simulatedFigure(s check.Simulated) SimulatedFigure {
	return SimulatedFigure{s.Value, finite(s.U), s.Low, s.High, s.Differs}
}

func newCalibrateMonteCarlo(r *check.Result) *CalibrateMonteCarlo {
	m := r.MonteCarlo
	if m == nil {
		return nil
	}
	out := &CalibrateMonteCarlo{Draws: m.Draws, Seed: m.Seed, Settled: m.Settled,
		Slope: simulatedFigure(m.Slope), PWithin: finite(m.PWithin), Differs: m.Differs}
	if r.Fit.Parameters == 2 {
		i := simulatedFigure(m.Intercept)
		out.Intercept = &i
	}
	for k, s := range m.At {
		out.At = append(out.At, SimulatedAtReading{r.At[k].Reading, simulatedFigure(s)})
	}
	return out
}

// writeMonteCarlo sets the simulated intervals beside the propagated ones.
func (r *Calibrate) writeMonteCarlo(w io.Writer, s Style) error {
	m := r.MonteCarlo
	if m == nil {
		return nil
	}
	title := fmt.Sprintf("Checked by simulation (JCGM 101; %d draws, seed %d)", m.Draws, m.Seed)
	if err := Heading(w, s, title); err != nil {
		return err
	}
	t := NewTable(Column{Name: "", Text: true}, Column{Name: "from", Unit: "propagated"}, Column{Name: "to", Unit: "propagated"},
		Column{Name: "from", Unit: "simulated"}, Column{Name: "to", Unit: "simulated"}, Column{Name: "", Text: true})
	row := func(name string, u, low, high Number, f SimulatedFigure) {
		note := "agrees"
		if f.Differs {
			note = "differs"
		}
		t.Row(name, limitOf(low, u), limitOf(high, u), limitOf(Known(f.Low), u), limitOf(Known(f.High), u), note)
	}
	row("slope", r.Fit.USlope, r.Fit.SlopeLow, r.Fit.SlopeHigh, m.Slope)
	if m.Intercept != nil {
		row("intercept", r.Fit.UIntercept, r.Fit.InterceptLow, r.Fit.InterceptHigh, *m.Intercept)
	}
	for i, a := range m.At {
		row("at "+asTyped(a.Reading), r.At[i].UCorrected, r.At[i].Low, r.At[i].High, a.SimulatedFigure)
	}
	if err := t.Write(w, s); err != nil {
		return err
	}
	if p, ok := m.PWithin.Get(); ok {
		return Paragraph(w, s, "", "Probability of being within tolerance by simulation: "+chance(p)+".")
	}
	return nil
}
