package solutions

import (
	"fmt"
	"math"
	"strings"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/uncert"
)

// Buffer is a pH reference buffer. Its pH follows a polynomial in temperature:
//
//	pH(t) = Σ aᵢ xⁱ,  x = (t − 25 C) / 25 C
//
// the least-squares polynomial of lowest degree that rounds to every entry of
// the published table. A polynomial and not a spline, because the tables are
// smooth physics rounded to 0.001 (0.01 for bottle buffers): it averages the
// rounding, where a spline through the entries would follow it. A test derives
// degree and coefficients from the table again.
type Buffer struct {
	Name        string // the name commands use, such as "phthalate" or "4.00"
	Composition string // what is in it
	Range       Range  // temperatures the table covers
	Decimals    int    // decimals of the published table
	Source      string
	Notes       []string
	Making      Making

	coefficients []float64 // aᵢ
	u            []knot    // standard uncertainty of pH by temperature in C
	homeMixed    bool
}

// HomeMixedBufferU is the standard uncertainty in pH that mixing a buffer at
// home adds: weighing to 1 %, ordinary purity, water of the household. A
// recommendation, no source.
const HomeMixedBufferU = 0.010

// ConventionNote says what the uncertainty of a buffer leaves out.
const ConventionNote = "all pH tables rest on one convention, good to 0.01 (95 %, IUPAC 2002); u leaves that out, since every buffer shares it"

// Buffers returns all reference buffers by rising pH, the standard ones before
// the bottle buffers.
func Buffers() []Buffer {
	out := make([]Buffer, len(buffers))
	copy(out, buffers)
	return out
}

// BufferByName finds a buffer; upper and lower case are the same. The error is
// an [*UnknownNameError] that lists the names, or says which buffer has the pH
// that was given for a name.
func BufferByName(name string) (Buffer, error) {
	var known []string
	for _, b := range buffers {
		if strings.EqualFold(b.Name, strings.TrimSpace(name)) {
			return b, nil
		}
		known = append(known, b.Name)
	}
	return Buffer{}, &UnknownNameError{Kind: "buffer", Name: name, Known: known, Hint: bufferHint(name)}
}

// bufferHints is what people mean who name a buffer by its pH at 25 C.
var bufferHints = map[float64]string{
	1.68:  "write tetroxalate",
	3.56:  "write tartrate",
	4:     "write 4.00 for a bottle buffer, or phthalate for the standard one (4.005 at 25 C)",
	4.01:  "write phthalate (4.005 at 25 C), or 4.00 for a bottle buffer (go by the one printed on your bottle)",
	6.86:  "write phosphate",
	6.87:  "write phosphate",
	7:     "write 7.00 for a bottle buffer, or phosphate for the standard one (6.865 at 25 C)",
	7.01:  "write 7.00 for a bottle buffer, or phosphate for the standard one (6.865 at 25 C): go by the one printed on your bottle",
	7.41:  "write phosphate-3.5",
	9.18:  "write borax",
	10:    "a bottle marked 10.00 is often made from borate, whose table is not here: go by the one printed on it, or use 10.01 or carbonate",
	10.01: "write 10.01 for a bottle buffer, or carbonate",
}

// bufferHint reads a name as a pH, such as "pH 7" or "6.865", and rounds it to
// 0.01 to look it up.
func bufferHint(name string) string {
	text := strings.TrimSpace(strings.TrimPrefix(strings.ToLower(strings.TrimSpace(name)), "ph"))
	if point := strings.Replace(text, ",", ".", 1); point != text {
		if _, err := quantity.ParseNumber(point); err == nil {
			return fmt.Sprintf("it has a decimal comma; write %q", point)
		}
	}
	pH, err := quantity.ParseNumber(text)
	if err != nil {
		return ""
	}
	return bufferHints[math.Round(100*pH)/100]
}

// HomeMixed returns the buffer with the uncertainty of mixing it at home,
// [HomeMixedBufferU], added.
func (b Buffer) HomeMixed() Buffer {
	b.homeMixed = true
	return b
}

// PH returns the pH at tempC (in C). Outside the buffer's range it returns a
// [*RangeError]: the tartrate solution, saturated at 25 C, does not exist below.
func (b Buffer) PH(tempC float64) (float64, error) {
	if err := b.Range.Check(b.title(), tempC); err != nil {
		return 0, err
	}
	return polynomial(b.coefficients, (tempC-25)/25), nil
}

// At returns the reference point at a temperature in C, whose own uncertainty
// is carried into the pH. Errors as for [Buffer.PH].
func (b Buffer) At(tempC uncert.Value) (Point, error) {
	t := tempC.Nominal()
	if err := b.Range.Check(b.title(), t); err != nil {
		return Point{}, err
	}
	value, err := along(b.PH, tempC)
	if err != nil {
		return Point{}, err
	}
	value, err = value.With(at(b.u, t), uncert.Source{ID: "buffer:" + b.Name, Label: "published pH of the buffer"})
	if err != nil {
		return Point{}, err
	}
	if b.homeMixed {
		value, err = value.With(HomeMixedBufferU, uncert.Source{ID: "home-mixed:" + b.Name, Label: "mixing at home"})
		if err != nil {
			return Point{}, err
		}
	}
	p := Point{
		Quantity: "ph", Name: b.title() + " (" + b.Composition + ")", TempC: &t,
		Value: value, Unit: "pH", Decimals: b.Decimals, Source: b.Source,
		Ranges: []Range{b.Range},
		Notes:  append([]string{ConventionNote}, b.Notes...),
		Making: b.Making,
	}
	if !b.homeMixed && len(b.Making.Steps) > 0 {
		p.Notes = append(p.Notes, "a buffer mixed at home is worth u = 0.010 more (recommendation, no source)")
	}
	return p, nil
}

func (b Buffer) title() string { return "buffer " + b.Name }
