package reports

import (
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/shelf"
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
)

// BottleEntry is a bottle on record, in one version.
type BottleEntry struct {
	ID           string  `json:"id"` // of this version
	Bottle       string  `json:"bottle"`
	Salt         *string `json:"salt"`
	Strength     Number  `json:"strength"` // in StrengthUnit
	UStrength    Number  `json:"u_strength"`
	StrengthUnit *string `json:"strength_unit"`
	PPMFactor    Number  `json:"ppm_factor"`
	WaterEC25    Number  `json:"water_ec25_uS_cm"`
	UWaterEC25   Number  `json:"u_water_ec25_uS_cm"`
	Buffer       *string `json:"buffer"`
	// EC25 and PH25 are what it truly has at 25 C.
	EC25       Number       `json:"ec25_uS_cm"`
	UEC25      Number       `json:"u_ec25_uS_cm"`
	PH25       Number       `json:"pH25"`
	UPH25      Number       `json:"u_pH25"`
	LeftOut    List[string] `json:"left_out"` // sources whose size nobody stated
	MadeOn     *string      `json:"made_on"`
	BestBefore *string      `json:"best_before"`
	ContentG   Number       `json:"content_g"`
	FullG      Number       `json:"full_g"`
	EmptyG     Number       `json:"empty_g"`
	UWeighingG Number       `json:"u_weighing_g"`
	Since      *string      `json:"since"` // from when on this version holds
	Note       *string      `json:"note"`
	RecordedAt string       `json:"recorded_at"`
	Supersedes *string      `json:"supersedes"`
}

func newBottleEntry(b logbook.Bottle) BottleEntry {
	e := BottleEntry{
		ID: b.ID, Bottle: b.Name, Salt: wordOrNull(b.Salt), StrengthUnit: wordOrNull(b.StrengthUnit), PPMFactor: optional(b.PPMFactor),
		Buffer: wordOrNull(b.Buffer), MadeOn: wordOrNull(b.MadeOn), BestBefore: wordOrNull(b.BestBefore),
		ContentG: optional(b.ContentG), FullG: optional(b.FullG), EmptyG: optional(b.EmptyG), UWeighingG: optional(b.UWeighingG),
		Since: timeOrNull(b.Since), Note: wordOrNull(b.Note), RecordedAt: b.RecordedAt.Format(time.RFC3339), Supersedes: wordOrNull(b.Supersedes),
	}
	e.Strength, e.UStrength = amountNumbers(b.Strength)
	e.WaterEC25, e.UWaterEC25 = amountNumbers(b.WaterEC25)
	// A bottle whose worth cannot be told has none here; putting it on record
	// was refused unless a newer program did.
	v, err := shelf.True(b, uncert.Exact(solutions.StrengthTempC))
	if err != nil {
		return e
	}
	e.LeftOut = leftOutLabels(v)
	value, u := Known(v.Nominal()), Maybe(v.U(), shelf.Stated(b))
	if b.Buffer != "" {
		e.PH25, e.UPH25 = value, u
	} else {
		e.EC25, e.UEC25 = value, u
	}
	return e
}

// amountNumbers are the value and its standard uncertainty, unknown where a
// source was never stated.
func amountNumbers(a *logbook.Amount) (value, u Number) {
	if a == nil {
		return Unknown(), Unknown()
	}
	v, err := a.Uncertain()
	if err != nil {
		return Known(a.Value), Unknown()
	}
	return Known(v.Nominal()), Maybe(v.U(), len(v.Unstated()) == 0)
}

// what names the content in short.
func (e BottleEntry) what() string {
	if e.Buffer != nil {
		return "pH buffer " + *e.Buffer
	}
	text, _ := Round(numberOrZero(e.Strength), e.uShown())
	unit := wordOrEmpty(e.StrengthUnit)
	if factor, ok := e.PPMFactor.Get(); ok {
		unit += "@" + asTyped(factor)
	}
	return fmt.Sprintf("%s, %s %s", wordOrEmpty(e.Salt), text, unit)
}

// uShown is the uncertainty by which the strength is rounded: its own, but that
// of what stands beside it where that is the same figure, a conductivity of the
// salt in water that adds none or what a display shows of it. So one figure is
// not written in two ways.
func (e BottleEntry) uShown() Number {
	factor := 1.0 // of the conductivity at 25 C
	switch wordOrEmpty(e.StrengthUnit) {
	case "uS/cm":
	case "ppm":
		factor = numberOrZero(e.PPMFactor)
	default:
		return e.UStrength
	}
	const same = 1e-9 // relative: the rounding of the arithmetic
	strength, beside := numberOrZero(e.Strength), factor*numberOrZero(e.EC25)
	if !e.EC25.IsKnown() || math.Abs(strength-beside) > same*math.Abs(strength) {
		return e.UStrength
	}
	return Maybe(factor*numberOrZero(e.UEC25), e.UEC25.IsKnown())
}

func numberOrZero(n Number) float64 {
	x, _ := n.Get()
	return x
}

// worth is what it has at 25 C.
func (e BottleEntry) worth() string {
	switch {
	case e.EC25.IsKnown():
		return PlusMinus(numberOrZero(e.EC25), e.UEC25, "uS/cm")
	case e.PH25.IsKnown():
		return "pH " + PlusMinus(numberOrZero(e.PH25), e.UPH25, "")
	}
	return "unknown"
}

func (e BottleEntry) write(w io.Writer, s Style) error {
	var f Fields
	f.Add("bottle", e.Bottle)
	f.Add("content", e.what())
	f.Add("at 25 C", e.worth())
	if x, ok := e.WaterEC25.Get(); ok && x != 0 {
		f.Add("with water of", PlusMinus(x, e.UWaterEC25, "uS/cm"))
	}
	if e.MadeOn != nil {
		f.Add("made", *e.MadeOn)
	}
	if e.BestBefore != nil {
		f.Add("good until", *e.BestBefore)
	}
	if x, ok := e.FullG.Get(); ok {
		f.Add("weighs", PlusMinus(x, e.UWeighingG, "g"))
	}
	if e.Since != nil {
		f.Add("holds since", minute(*e.Since)+" UTC")
	}
	if e.Note != nil {
		f.Add("note", *e.Note)
	}
	f.Add("on record", day(e.RecordedAt)+" as "+e.ID)
	return f.Write(w, s)
}

// BottleAdded is a bottle that was put on record, or a new version of it.
type BottleAdded struct {
	BottleEntry
	Warnings Warnings `json:"warnings"`
}

// NewBottleAdded makes the result.
func NewBottleAdded(b logbook.Bottle, warnings []string) *BottleAdded {
	out := &BottleAdded{newBottleEntry(b), warnings}
	if !shelf.Stated(b) {
		out.Warnings = append(out.Warnings, "the uncertainty of its strength was not given: it is unknown, and so will be that of every check against this bottle")
	}
	if b.BestBefore == "" {
		out.Warnings = append(out.Warnings, "no date was given (--made or --best-before): nothing will warn when it is too old")
	}
	return out
}

// WarningList gives the warnings.
func (r *BottleAdded) WarningList() []string { return r.Warnings }

// Table writes the bottle for people.
func (r *BottleAdded) Table(w io.Writer, s Style) error { return r.write(w, s) }

// BottleList is the bottles on record.
type BottleList struct {
	Bottles  List[BottleEntry] `json:"bottles"`
	Warnings Warnings          `json:"warnings"`
}

// NewBottleList makes the result; bottles past their date are warned of.
func NewBottleList(bottles []logbook.Bottle, now time.Time) *BottleList {
	out := &BottleList{}
	superseded := map[string]bool{}
	for _, b := range bottles {
		superseded[b.Supersedes] = true
	}
	for _, b := range bottles {
		out.Bottles = append(out.Bottles, newBottleEntry(b))
		if text := shelf.PastDate(b, now); text != "" && !superseded[b.ID] {
			out.Warnings = append(out.Warnings, text)
		}
	}
	return out
}

// WarningList gives the warnings.
func (r *BottleList) WarningList() []string { return r.Warnings }

// Table writes the list for people.
func (r *BottleList) Table(w io.Writer, s Style) error {
	if len(r.Bottles) == 0 {
		_, err := io.WriteString(w, "There is no bottle on record yet; \"recipe made … --save ID\" or \"bottle add\" puts one there.\n")
		return err
	}
	t := NewTable(Column{Name: "bottle", Text: true}, Column{Name: "content", Text: true}, Column{Name: "at 25 C", Text: true},
		Column{Name: "made"}, Column{Name: "good until"}, Column{Name: "since"}, Column{Name: "note", Text: true})
	versions := map[string]int{}
	for _, b := range r.Bottles {
		versions[b.Bottle]++
	}
	for _, b := range r.Bottles {
		since := ""
		if b.Since != nil {
			since = day(*b.Since)
		}
		note := listNote(b.Note)
		if versions[b.Bottle] > 1 {
			note = joined("version "+b.ID, note)
		}
		t.Row(b.Bottle, b.what(), strings.Replace(b.worth(), " (uncertainty unknown)", ", u unknown", 1), wordOrEmpty(b.MadeOn), wordOrEmpty(b.BestBefore), since, note)
	}
	return t.Write(w, s)
}
