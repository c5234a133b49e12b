package reports

import (
	"strings"

	"github.com/brinemark/brinemark/reports/label"
	"github.com/brinemark/brinemark/reports/typeset"
)

// labelCaution stands on every label.
const labelCaution = "NOT FOR DRINKING or dosing. Keep from children and pets. Pour nothing back into it."

// labelPast stands on the label of a bottle that is too old, below its name.
const labelPast = "PAST ITS DATE: do not trust it"

// dayByHand is room for a day.
const dayByHand = "____________"

// label is the text of a bottle's label.
func (l BottleLabel) label() label.Label {
	out := label.Label{ID: l.Bottle, Name: l.Bottle}
	add := func(text string, may label.Treatment) {
		out.Lines = append(out.Lines, label.Line{Text: text, May: may})
	}
	if l.PastDate {
		out.Lines = append(out.Lines, label.Line{Text: labelPast, Bold: true})
	}
	add(together(typeset.Text(l.what())), label.Break)
	if l.Buffer != nil {
		add(together("pH "+l.figure(numberOrZero(l.PH25), l.UPH25, "")+" at 25 °C"), label.Break)
		add(l.phText(), label.Break)
	} else {
		add(together(l.figure(numberOrZero(l.EC25), l.UEC25, "µS/cm")+" at 25 °C"), label.Break)
		add(l.displayText(), label.Break)
	}
	add(l.days(), label.Break)
	if l.Note != nil {
		add(*l.Note, label.Cut)
	}
	out.Lines = append(out.Lines, label.Line{Text: labelCaution, Bold: true})
	return out
}

// together keeps the blanks of a figure from being line ends, but that after a
// comma.
func together(text string) string {
	return strings.ReplaceAll(strings.ReplaceAll(text, " ", "\u00a0"), ",\u00a0", ", ")
}

// figure is a value with its standard uncertainty, in few words.
func (l BottleLabel) figure(x float64, u Number, unit string) string {
	text := PlusMinus(x, u, unit)
	if strings.Contains(text, "±") {
		return text + " (k = 1),"
	}
	return strings.Replace(text, " (uncertainty unknown)", ", ± unknown,", 1)
}

// displayText is what common displays show. Each figure has its uncertainty
// beside it, which says why one has a decimal more than the next.
func (l BottleLabel) displayText() string {
	var parts []string
	for _, d := range l.Displays {
		value, u := Round(d.PPM, d.UPPM)
		if u != unknown && u != "0" {
			value += " ± " + u
		}
		parts = append(parts, together(value+" (× "+asTyped(d.PPMFactor)+")"))
	}
	return together("ppm shown at 25 °C:") + " " + strings.Join(parts, ", ")
}

// phText are the values at other temperatures.
func (l BottleLabel) phText() string {
	var parts []string
	for _, p := range l.PH {
		value, _ := Round(p.PH, p.UPH)
		parts = append(parts, together(value+" at "+asTyped(p.TempC)+" °C"))
	}
	return strings.Join(parts, ", ")
}

// days are the dates, with room for those that are not known.
func (l BottleLabel) days() string {
	made, before := dayByHand, dayByHand
	if l.MadeOn != nil {
		made = *l.MadeOn
	}
	if l.BestBefore != nil {
		before = *l.BestBefore
	}
	text := together("made "+made) + ", " + together("best before "+before)
	if l.Since != nil {
		text += ", " + together("value of "+day(*l.Since))
	}
	return text
}
