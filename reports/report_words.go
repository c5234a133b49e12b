package reports

import (
	"fmt"
	"slices"
	"strings"
)

// reportStatement is what every report says of itself.
const reportStatement = "This is not a certificate of an accredited laboratory. It was made by the meter's owner with Brinemark, an aid for growers and makers; it claims no accreditation, and no conformity with ISO/IEC 17025, whose list of contents (7.8.2.1 and 7.8.4.1) it follows so that nothing is missed."

// reportScope is what the results are about.
const reportScope = "The results are about this one meter, in the references named here, at the times given. They say nothing of other meters, of other liquids, or of what was not measured."

// fitWords say what a fit does.
var fitWords = map[string]string{
	"gain":           "a gain through zero, since one strength of reference tells one parameter",
	"offset":         "a shift, since the references do not tell a slope",
	"two-point":      "the line through two points",
	"line":           "an ordinary least-squares line, whose uncertainty comes from the scatter of the points (Student's t)",
	"weighted":       "a least-squares line weighted by the uncertainties of the references",
	"errors-in-both": "a line that takes the uncertainties of references and readings into account (York and others, 2004)",
	"theil-sen":      "the median of all slopes (Theil and Sen), which one bad point does not move",
}

// method says in plain words how the meter was judged.
func (r *Report) method() List[string] {
	if len(r.Calibrations) == 0 {
		return List[string]{"No method was used yet: the meter was not held against a reference."}
	}
	out := List[string]{
		"The meter was read in references whose values are known, each with its uncertainty; the error is reading - reference. What a reference should show is what a perfect meter of this kind would show in it at the temperature of the moment.",
	}
	var methods []string
	for _, c := range r.Calibrations {
		if !slices.Contains(methods, c.Method) {
			methods = append(methods, c.Method)
		}
	}
	var fits []string
	for _, m := range methods {
		text := m
		if words, ok := fitWords[m]; ok {
			text += " (" + words + ")"
		}
		fits = append(fits, text)
	}
	out = append(out, "A line corrected = intercept + slope × reading was fitted by: "+strings.Join(fits, "; ")+".")
	out = append(out, "Uncertainties were combined by the Guide to the Expression of Uncertainty in Measurement (JCGM 100); what references share, such as the stock they were made from, is counted as one error. ± is one standard uncertainty (k = 1); intervals cover 95 %.")
	if r.Drift != nil {
		out = append(out, "Drift is judged from all checks on record together: a level and a rate that may wander, with checks that do not fit counted little. The due day is the first on which the risk of being outside the tolerance exceeds "+r.Drift.riskText()+".")
	}
	return out
}

// traceability says in plain words what the references rest on.
func (r *Report) traceability() List[string] {
	var out List[string]
	var sources []string
	salt, buffer := false, false
	for _, b := range r.Bottles {
		salt, buffer = salt || b.Salt != nil, buffer || b.Buffer != nil
		if s := wordOrEmpty(b.Source); s != "" && !slices.Contains(sources, s) {
			sources = append(sources, s)
		}
	}
	if salt {
		out = append(out, "The value of a bottle of salt follows from its strength and the conductivity of that salt. The chain begins at the published measurements named here and at the balance on which salt and water were weighed, or at what its label says; each link's uncertainty is in the table of bottles.")
	}
	if buffer {
		out = append(out, "The value of a pH buffer is that of the published table for its composition. The chain begins at that table, and at whoever mixed the buffer.")
	}
	for _, s := range sources {
		out = append(out, "Published values: "+s+".")
	}
	if typed, without := r.typedReferences(); typed > 0 {
		text := fmt.Sprintf("%s held against %s that were typed in, not against a bottle on record: how those are known is not documented here", plural(int64(typed), "reading was", "readings were"), "values")
		if without > 0 {
			text += fmt.Sprintf(", and %s without an uncertainty", plural(int64(without), "was", "were"))
		}
		out = append(out, text+".")
	}
	if len(r.Calibrations) > 0 {
		out = append(out, "The chain is not unbroken in the sense of ISO/IEC 17025, 6.5: no calibration of the balance or the thermometer is on record here.")
	}
	return out
}

// typedReferences counts the readings whose reference is no bottle on record,
// and those of them without an uncertainty.
func (r *Report) typedReferences() (n, without int) {
	for _, c := range r.Calibrations {
		for _, p := range c.Readings {
			if p.BottleID == nil {
				n++
				if !p.URef.IsKnown() {
					without++
				}
			}
		}
	}
	return n, without
}

// exclusions say what the results leave out.
func (r *Report) exclusions() List[string] {
	var out List[string]
	if c := r.Conditions; c.Readings > c.WithTemp {
		out = append(out, fmt.Sprintf("The temperature of %s of %d is not on record.", plural(int64(c.Readings-c.WithTemp), "reading", "readings"), c.Readings))
	}
	unstated := 0
	for _, c := range r.Calibrations {
		for _, p := range c.Readings {
			if !p.UError.IsKnown() {
				unstated++
			}
		}
	}
	if unstated > 0 {
		out = append(out, fmt.Sprintf("Of %s the uncertainty of the reference or of the reading was not stated; it is unknown, not zero.", plural(int64(unstated), "reading", "readings")))
	}
	for _, b := range r.Bottles {
		if len(b.LeftOut) > 0 {
			out = append(out, fmt.Sprintf("Left out of the uncertainty of bottle %s, since nobody stated them: %s.", b.ID, strings.Join(b.LeftOut, ", ")))
		}
	}
	return out
}
