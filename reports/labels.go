package reports

import (
	"errors"
	"fmt"
	"io"
	"time"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/shelf"
	"github.com/brinemark/brinemark/calib/tempcomp"
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/reports/label"
	"github.com/brinemark/brinemark/solutions"
)

// Labels are printed labels of bottles on record.
type Labels struct {
	File     string            `json:"file"`
	Paper    string            `json:"paper"`
	WidthMM  float64           `json:"label_width_mm"`
	HeightMM float64           `json:"label_height_mm"`
	Sheets   int               `json:"sheets"`
	Labels   List[BottleLabel] `json:"labels"`
	Warnings Warnings          `json:"warnings"`

	paper  label.Paper
	sheets []label.Sheet
}

// BottleLabel is what stands on the label of one bottle.
type BottleLabel struct {
	BottleEntry
	// Displays are what meters show in it at 25 C.
	Displays List[LabelDisplay] `json:"displays"`
	// PH are the values of a buffer at other temperatures.
	PH List[LabelPH] `json:"pH"`
	// SupersededBy is the version that took the place of the one printed.
	SupersededBy *string `json:"superseded_by"`
	// PastDate tells that the last day on which it is good is over.
	PastDate bool `json:"past_date"`
}

// LabelDisplay is what a perfect meter with a ppm factor shows at 25 C.
type LabelDisplay struct {
	PPMFactor float64 `json:"ppm_factor"`
	PPM       float64 `json:"display_ppm"`
	UPPM      Number  `json:"u_display_ppm"`
}

// LabelPH is a buffer's value at a temperature.
type LabelPH struct {
	TempC float64 `json:"temp_C"`
	PH    float64 `json:"pH"`
	UPH   Number  `json:"u_pH"`
}

// LabelsOf is what labels are asked for: bottles on record, each in the version
// to print.
type LabelsOf struct {
	Bottles []logbook.Bottle
	// Superseded has the version that took the place of one of the bottles, by
	// the identity of that one.
	Superseded map[string]string
	Layout     label.Layout
	Copies     int // of each label; 0 is one
	Now        time.Time
}

// commonFactors are the ppm factors of common displays: half the conductivity,
// that of potassium chloride, and that of a mixture of salts. Common practice, no
// source.
func commonFactors() []float64 { return []float64{0.5, 0.64, 0.7} }

// labelTempsC are the temperatures of a room at which a buffer's value stands on
// its label beside that at 25 C.
func labelTempsC() []float64 { return []float64{15, 20, 30} }

// NewLabels lays the labels out. Errors wrap [label.ErrLayout], or are those of
// [shelf.True].
func NewLabels(of LabelsOf) (*Labels, error) {
	out := &Labels{paper: of.Layout.Paper, Paper: of.Layout.Paper.Name, WidthMM: of.Layout.WidthMM, HeightMM: of.Layout.HeightMM}
	var texts []label.Label
	for _, b := range of.Bottles {
		one, err := newBottleLabel(b, of.Superseded[b.ID])
		if err != nil {
			return nil, err
		}
		one.PastDate = shelf.PastDate(b, of.Now) != ""
		out.Labels = append(out.Labels, one)
		for range max(1, of.Copies) {
			texts = append(texts, one.label())
		}
		out.Warnings = append(out.Warnings, labelWarnings(b, one, of.Now)...)
	}
	sheets, warnings, err := label.Lay(texts, of.Layout)
	if err != nil {
		return nil, err
	}
	out.sheets, out.Sheets = sheets, len(sheets)
	out.Warnings = append(out.Warnings, warnings...)
	return out, nil
}

// labelWarnings are what a person should know before the label is printed.
func labelWarnings(b logbook.Bottle, one BottleLabel, now time.Time) (out []string) {
	if one.SupersededBy != nil {
		out = append(out, fmt.Sprintf("%s is superseded by %s: its label says what the bottle was worth before", b.ID, *one.SupersededBy))
	}
	if text := shelf.PastDate(b, now); text != "" {
		out = append(out, text)
	}
	if !shelf.Stated(b) {
		out = append(out, fmt.Sprintf("bottle %s: its uncertainty was never stated, and its label says so", b.Name))
	}
	if b.BestBefore == "" {
		out = append(out, fmt.Sprintf("bottle %s has no date to be used by: its label leaves room for one", b.Name))
	}
	return out
}

// newBottleLabel works out what the label of a bottle says.
func newBottleLabel(b logbook.Bottle, supersededBy string) (BottleLabel, error) {
	one := BottleLabel{BottleEntry: newBottleEntry(b), SupersededBy: wordOrNull(supersededBy)}
	at25 := uncert.Exact(solutions.StrengthTempC)
	if _, err := shelf.True(b, at25); err != nil { // a label without a value is none
		return one, err
	}
	stated := shelf.Stated(b)
	if shelf.Quantity(b) == "ph" {
		for _, t := range labelTempsC() {
			// A table that does not reach there leaves it out.
			if v, err := shelf.True(b, uncert.Exact(t)); err == nil {
				one.PH = append(one.PH, LabelPH{t, v.Nominal(), Maybe(v.U(), stated)})
			}
		}
		return one, nil
	}
	for _, factor := range commonFactors() {
		noRule := logbook.Meter{Quantity: "ec", Unit: tempcomp.PPMUnit, PPMFactor: &factor, Compensation: tempcomp.NoneName}
		v, err := shelf.On(b, noRule, at25) // at 25 C no rule changes anything
		if err != nil {
			return one, err
		}
		one.Displays = append(one.Displays, LabelDisplay{factor, v.Nominal(), Maybe(v.U(), stated)})
	}
	return one, nil
}

// ErrSheets is returned where one drawing cannot hold all sheets.
var ErrSheets = errors.New("an SVG holds one sheet")

// WriteSVG writes the one sheet there is; more are an [ErrSheets].
func (r *Labels) WriteSVG(w io.Writer) error {
	if len(r.sheets) != 1 {
		return ErrSheets
	}
	return r.sheets[0].WriteSVG(w)
}

// WarningList gives the warnings.
func (r *Labels) WarningList() []string { return r.Warnings }

// Table says what was printed.
func (r *Labels) Table(w io.Writer, s Style) error {
	sheets := "1 sheet"
	if r.Sheets != 1 {
		sheets = fmt.Sprintf("%d sheets", r.Sheets)
	}
	if err := Paragraph(w, s, "", fmt.Sprintf("%s: labels of %s by %s mm on %s of %s; print at 100 %%.",
		r.File, asTyped(r.WidthMM), asTyped(r.HeightMM), sheets, r.Paper)); err != nil {
		return err
	}
	if _, err := io.WriteString(w, "\n"); err != nil {
		return err
	}
	t := NewTable(Column{Name: "bottle", Text: true}, Column{Name: "content", Text: true}, Column{Name: "at 25 C", Text: true}, Column{Name: "good until", Text: true})
	for _, l := range r.Labels {
		until := wordOrEmpty(l.BestBefore)
		if l.PastDate {
			until += ", past"
		}
		t.Row(l.Bottle, l.what(), l.worth(), until)
	}
	return t.Write(w, s)
}
