package reports

import (
	"fmt"
	"io"
	"time"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/shelf"
	"github.com/brinemark/brinemark/calib/uncert"
)

// BottleHistory is what is asked of one bottle.
type BottleHistory struct {
	Bottle   logbook.Bottle
	Versions []logbook.Bottle // empty unless they are asked for
	Temp     uncert.Value     // C
	Meter    *logbook.Meter   // nil: the truth alone
	Now      time.Time
}

// BottleShown is one bottle at a temperature, and on a meter.
type BottleShown struct {
	BottleEntry
	TempC    float64           `json:"temp_C"`
	Value    float64           `json:"value"` // the truth at that temperature
	UValue   Number            `json:"u_value"`
	Unit     string            `json:"unit"`
	Meter    *string           `json:"meter"`
	Display  Number            `json:"display"` // what that meter should show
	UDisplay Number            `json:"u_display"`
	DispUnit *string           `json:"display_unit"`
	Budget   List[BudgetShare] `json:"budget"`
	Versions List[BottleEntry] `json:"versions"`
	Warnings Warnings          `json:"warnings"`
}

// NewBottleShown makes the result. Errors as for [shelf.On].
func NewBottleShown(h BottleHistory) (*BottleShown, error) {
	out := &BottleShown{BottleEntry: newBottleEntry(h.Bottle), TempC: h.Temp.Nominal(), Unit: shelf.Unit(h.Bottle)}
	v, err := shelf.True(h.Bottle, h.Temp)
	if err != nil {
		return nil, err
	}
	stated := shelf.Stated(h.Bottle)
	out.Value, out.UValue = v.Nominal(), Maybe(v.U(), stated)
	if h.Meter != nil {
		out.Meter, out.DispUnit = wordOrNull(h.Meter.Name), wordOrNull(h.Meter.Unit)
		if v, err = shelf.On(h.Bottle, *h.Meter, h.Temp); err != nil {
			return nil, err
		}
		out.Display, out.UDisplay = Known(v.Nominal()), Maybe(v.U(), stated)
	}
	out.Budget, out.LeftOut = relativeBudget(v), leftOutLabels(v)
	for _, b := range h.Versions {
		out.Versions = append(out.Versions, newBottleEntry(b))
	}
	if text := shelf.PastDate(h.Bottle, h.Now); text != "" {
		out.Warnings = append(out.Warnings, text)
	}
	if len(out.LeftOut) > 0 {
		out.Warnings = append(out.Warnings, fmt.Sprintf("left out of the uncertainty, since nobody stated them: %s", listed(out.LeftOut)))
	}
	return out, nil
}

func listed(words []string) string {
	text := ""
	for i, w := range words {
		if i > 0 {
			text += ", "
		}
		text += w
	}
	return text
}

// WarningList gives the warnings.
func (r *BottleShown) WarningList() []string { return r.Warnings }

// Table writes the bottle for people.
func (r *BottleShown) Table(w io.Writer, s Style) error {
	if err := r.write(w, s); err != nil {
		return err
	}
	var f Fields
	f.Add(fmt.Sprintf("at %s C", asTyped(r.TempC)), PlusMinus(r.Value, r.UValue, r.Unit)+", the truth")
	if x, ok := r.Display.Get(); ok {
		f.Add("on "+*r.Meter, PlusMinus(x, r.UDisplay, wordOrEmpty(r.DispUnit))+", what it should show")
	}
	if _, err := io.WriteString(w, "\n"); err != nil {
		return err
	}
	if err := f.Write(w, s); err != nil {
		return err
	}
	if len(r.Budget) > 0 {
		if err := Heading(w, s, "Where the uncertainty comes from (% of the value)"); err != nil {
			return err
		}
		if err := writeBudgets(w, s, []Column{{Name: "source", Text: true}, {Name: "u", Unit: "%"}}, []List[BudgetShare]{r.Budget}, r.LeftOut); err != nil {
			return err
		}
	}
	if len(r.Versions) < 2 {
		return nil
	}
	if err := Heading(w, s, "Versions"); err != nil {
		return err
	}
	t := NewTable(Column{Name: "version", Text: true}, Column{Name: "on record"}, Column{Name: "holds since", Unit: "UTC"}, Column{Name: "at 25 C", Text: true}, Column{Name: "weighs", Unit: "g"}, Column{Name: "note", Text: true})
	for _, v := range r.Versions {
		since, mass := "", ""
		if v.Since != nil {
			since = minute(*v.Since)
		}
		if x, ok := v.FullG.Get(); ok {
			mass = asTyped(x)
		}
		t.Row(v.ID, day(v.RecordedAt), since, v.worth(), mass, wordOrEmpty(v.Note))
	}
	return t.Write(w, s)
}

// BottleWeighed is a bottle that was weighed again.
type BottleWeighed struct {
	BottleEntry
	// Evaporation is null for the first weighing, which only begins.
	Evaporation *BottleLoss `json:"evaporation"`
	Warnings    Warnings    `json:"warnings"`
}

// BottleLoss is what a bottle has lost since it was weighed last.
type BottleLoss struct {
	LostG        float64 `json:"lost_g"` // water, true mass
	ULostG       float64 `json:"u_lost_g"`
	LostRel      float64 `json:"lost_rel"` // of the content then
	ULostRel     float64 `json:"u_lost_rel"`
	StrengthGain float64 `json:"strength_gain"` // molality now over molality then
	UGain        float64 `json:"u_strength_gain"`
	EC25Before   Number  `json:"ec25_before_uS_cm"`
	UEC25Before  Number  `json:"u_ec25_before_uS_cm"`
}

// NewBottleWeighed makes the result of the versions before and after; l is nil
// for the first weighing.
func NewBottleWeighed(before, after logbook.Bottle, l *shelf.Loss, warnings []string) *BottleWeighed {
	out := &BottleWeighed{BottleEntry: newBottleEntry(after), Warnings: warnings}
	if l != nil {
		then := newBottleEntry(before)
		out.Evaporation = &BottleLoss{
			LostG: l.MassG.Nominal(), ULostG: l.MassG.U(), LostRel: l.Fraction.Nominal(), ULostRel: l.Fraction.U(),
			StrengthGain: l.Gain.Nominal(), UGain: l.Gain.U(),
			EC25Before: then.EC25, UEC25Before: then.UEC25,
		}
	}
	return out
}

// WarningList gives the warnings.
func (r *BottleWeighed) WarningList() []string { return r.Warnings }

// Table writes the bottle for people.
func (r *BottleWeighed) Table(w io.Writer, s Style) error {
	if err := r.write(w, s); err != nil {
		return err
	}
	var f Fields
	if e := r.Evaporation; e != nil {
		f.Add("evaporated", fmt.Sprintf("%s of water, %s of the content", PlusMinus(e.LostG, Known(e.ULostG), "g"), PlusMinus(100*e.LostRel, Known(100*e.ULostRel), "%")))
		f.Add("stronger by", PlusMinus(100*(e.StrengthGain-1), Known(100*e.UGain), "%"))
	} else {
		f.Add("evaporated", "unknown: this is the first weighing, the next one counts from it")
	}
	if _, err := io.WriteString(w, "\n"); err != nil {
		return err
	}
	return f.Write(w, s)
}
