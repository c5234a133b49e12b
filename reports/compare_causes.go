package reports

import (
	"fmt"
	"io"

	"github.com/brinemark/brinemark/calib/cause"
)

// CompareCause is one explanation of the readings.
type CompareCause struct {
	Cause  string  `json:"cause"`
	Meter  *string `json:"meter"`  // whose fault it is; null: nobody's, or no telling
	Sample *string `json:"sample"` // which liquid's fault it is
	// OtherSample is the second of two samples that changed places.
	OtherSample *string `json:"other_sample"`
	// Size is how large the fault is; SizeOf says what it is a size of:
	// fraction, reading (in the unit of the readings), factor, per_C (what the
	// meter corrects by) or reference_C (what it corrects to).
	Size        Number  `json:"size"`
	USize       Number  `json:"u_size"`
	SizeOf      *string `json:"size_of"`
	Probability float64 `json:"probability"`
	Text        string  `json:"text"`
}

// CompareMeasurement is something that could be read next.
type CompareMeasurement struct {
	What   string  `json:"what"`
	Sample *string `json:"sample"` // to read again; null: a new one
	// Information is what it is expected to tell about the cause, in bits, and
	// DoubtRemoved the share of the present doubt that this is.
	Information  float64 `json:"information_bits"`
	DoubtRemoved float64 `json:"doubt_removed"`
	Text         string  `json:"text"`
}

func compareCauses(why *cause.Explanation) List[CompareCause] {
	var out List[CompareCause]
	for _, e := range why.Causes {
		out = append(out, CompareCause{
			Cause: string(e.Cause), Meter: wordOrNull(e.Meter), Sample: wordOrNull(e.Sample), OtherSample: wordOrNull(e.With),
			Size: finite(e.Size), USize: finite(e.U), SizeOf: wordOrNull(e.SizeOf), Probability: e.Probability, Text: e.Text,
		})
	}
	return out
}

func compareMeasurements(why *cause.Explanation) List[CompareMeasurement] {
	var out List[CompareMeasurement]
	for _, m := range why.Measurements {
		out = append(out, CompareMeasurement{
			What: m.What, Sample: wordOrNull(m.Sample), Information: m.Bits, DoubtRemoved: m.Doubt, Text: m.Text,
		})
	}
	return out
}

// leastShown is the probability below which a cause is not shown to people.
const leastShown = 0.01

// clearly is the probability from which a cause is stated as found.
const clearly = 0.8

// hardly is the probability below which the first cause is no better than others.
const hardly = 0.25

// writeCauses says why, and which meter to trust.
func (r *Compare) writeCauses(w io.Writer, s Style) error {
	if len(r.Causes) == 0 {
		return nil
	}
	if err := Heading(w, s, "Why"); err != nil {
		return err
	}
	t := fitNames(s, r.names(), func(short func(string) string) *Table {
		t := NewTable(Column{Name: "probability"}, Column{Name: "cause", Text: true}, Column{Name: "of", Text: true})
		for i, c := range r.Causes {
			if i == 0 || c.Probability >= leastShown {
				t.Row(probability(Known(c.Probability)), c.Cause, c.whose(short))
			}
		}
		return t
	})
	if err := t.Write(w, s); err != nil {
		return err
	}
	if _, err := io.WriteString(w, "\n"); err != nil {
		return err
	}
	lead := r.Causes[0].Text
	switch p := r.Causes[0].Probability; {
	case p < hardly:
		lead = "No cause stands out: these readings do not tell."
	case p < clearly:
		lead = "Most probable: " + lead
	}
	if err := Paragraph(w, s, "", lead); err != nil {
		return err
	}
	trust := "Trust: no meter more than another."
	if r.Trust != nil {
		trust = "Trust: " + *r.Trust + "."
	}
	return Paragraph(w, s, "", trust)
}

// whose names the meter and the samples of a cause.
func (c CompareCause) whose(short func(string) string) string {
	switch {
	case c.OtherSample != nil:
		return fmt.Sprintf("samples %s and %s", short(wordOrEmpty(c.Sample)), short(*c.OtherSample))
	case c.Meter != nil && c.Sample != nil:
		return fmt.Sprintf("%s in sample %s", short(*c.Meter), short(*c.Sample))
	case c.Sample != nil:
		return "sample " + short(*c.Sample)
	}
	return short(wordOrEmpty(c.Meter))
}
