package reports

import (
	"fmt"
	"math"
	"slices"

	"github.com/brinemark/brinemark/calib/uncert"
)

// ReferenceInput is a number a person gave for a reference, such as the
// temperature of the bottle.
type ReferenceInput struct {
	Value  float64
	U      Number        // standard uncertainty in the unit of Value; unknown if nobody stated it, 0 if exact
	Source uncert.Source // the identity of its error
	Flag   string        // how the uncertainty is stated, such as "--u-temp"

	// Trial is a size the uncertainty may well have, in the unit of Value, or
	// TrialShare the same as a fraction of Value, and TrialText that size for
	// people: where U is unknown they say what leaving it out may cost.
	Trial      float64
	TrialShare float64
	TrialText  string
}

// uncertain returns the number with its source, unstated where U is unknown.
func (in ReferenceInput) uncertain() (uncert.Value, error) {
	u, known := in.U.Get()
	if !known {
		return uncert.Unstated(in.Value, in.Source), nil
	}
	return uncert.New(in.Value, u, in.Source)
}

// onTrial is uncertain with the trial size where U is unknown.
func (in ReferenceInput) onTrial() (uncert.Value, error) {
	if in.U.IsKnown() {
		return in.uncertain()
	}
	return uncert.New(in.Value, in.Trial+in.TrialShare*math.Abs(in.Value), in.Source)
}

// LeftOut is an uncertainty that nobody stated and no u contains, with the u
// that it alone would make if it had the size named.
type LeftOut struct {
	Source       string `json:"source"`
	Flag         string `json:"flag"`
	If           string `json:"if"`
	ValueShare   Number `json:"u_value"`               // of the value, in its unit
	EC25Share    Number `json:"u_ec25_uS_cm,omitzero"` // of the conductivity at 25 C; conductivity alone
	DisplayShare Number `json:"u_display,omitzero"`    // of the display, in its unit; conductivity alone
}

// text says it in one sentence about r; where is empty, or says which row of a
// table r is.
func (l LeftOut) text(r *Reference, where string) string {
	about := ""
	if where != "" {
		about = "about "
	}
	text := fmt.Sprintf("the uncertainty of the %s is not given (%s) and is left out of every u: if it were %s, that alone would be a u of %s%s in the value",
		l.Source, l.Flag, l.If, about, share(l.ValueShare, r.Value, r.Unit))
	if l.DisplayShare.IsKnown() {
		text += " and " + about + share(l.DisplayShare, r.Display, *r.DisplayUnit) + " in the display"
	}
	return text + where
}

// share gives a contribution as a percentage, or in the unit of a scale that
// has no natural zero (pH, degrees) or is itself a percentage.
func share(part, whole Number, unit string) string {
	p, _ := part.Get()
	w, _ := whole.Get()
	switch unit {
	case "pH", "C", "%RH":
		return Significant(p, 2) + " " + unit
	}
	return Percent(p/math.Abs(w), 2)
}

// leftOut finds the unstated inputs of a result and, from a trial run of the
// same reference, what each would add.
func (m ReferenceMaker) leftOut(result evaluation) (List[LeftOut], error) {
	unstated := result.point.Value.Unstated()
	if result.display != nil {
		unstated = slices.Concat(unstated, result.display.Unstated(), result.ec25.Unstated())
	}
	missing := make(map[string]bool)
	for _, s := range unstated {
		missing[s.ID] = true
	}
	if len(missing) == 0 {
		return nil, nil
	}
	trial, err := m.evaluate(ReferenceInput.onTrial)
	if err != nil {
		return nil, err
	}
	var out List[LeftOut]
	for _, in := range m.inputs {
		if !missing[in.Source.ID] {
			continue
		}
		l := LeftOut{
			Source: in.Source.Label, Flag: in.Flag, If: in.TrialText,
			ValueShare: Known(math.Abs(trial.point.Value.Part(in.Source.ID))),
		}
		if trial.display != nil {
			l.EC25Share = Known(math.Abs(trial.ec25.Part(in.Source.ID)))
			l.DisplayShare = Known(math.Abs(trial.display.Part(in.Source.ID)))
		}
		out = append(out, l)
	}
	return out, nil
}
