package check

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/brinemark/brinemark/calib/line"
)

// trim is one way of adjusting a meter in one bottle.
type trim struct {
	row   int     // the row to adjust in
	left  float64 // largest error left, as a multiple of its tolerance
	where int     // row of that error
}

// gainTrim finds the bottle in which a gain trim leaves the smallest worst error: showing ref
// where it shows reading now multiplies every reading by ref/reading.
func (r *Result) gainTrim() (trim, bool) {
	return r.bestTrim(func(at, i int) (float64, bool) {
		a := r.Rows[at]
		if a.Reading == 0 || a.Ref/a.Reading <= 0 {
			return 0, false
		}
		return r.Rows[i].Reading*a.Ref/a.Reading - r.Rows[i].Ref, true
	})
}

// offsetTrim does the same for an adjustment that shifts every reading alike.
func (r *Result) offsetTrim() (trim, bool) {
	return r.bestTrim(func(at, i int) (float64, bool) {
		a := r.Rows[at]
		return r.Rows[i].Reading + a.Ref - a.Reading - r.Rows[i].Ref, true
	})
}

// bestTrim tries every bottle; left(at, i) is the error left in row i after trimming in row at.
func (r *Result) bestTrim(left func(at, i int) (float64, bool)) (trim, bool) {
	best, found := trim{left: math.Inf(1)}, false
	for at := range r.Rows {
		t, usable := trim{row: at}, true
		for i := range r.Rows {
			allowed := r.Points[i].Allowed
			if allowed == 0 {
				continue
			}
			e, ok := left(at, i)
			usable = usable && ok
			if m := math.Abs(e) / allowed; m >= t.left {
				t.left, t.where = m, i
			}
		}
		// Rather the larger reference among equals: a trim set there is set most finely.
		if usable && (t.left < best.left-1e-9 || t.left <= best.left+1e-9 && r.Rows[at].Ref > r.Rows[best.row].Ref) {
			best, found = t, true
		}
	}
	return best, found
}

// sayAdjust says what to set, and in which bottle.
func (r *Result) sayAdjust(o Options) {
	name, find := "gain", r.gainTrim
	_, zero := r.zeroError()
	if zero || o.Kind == Temperature || o.Kind == PH || r.Fit.Method == line.MethodOffset {
		name, find = "offset", r.offsetTrim
	}
	t, ok := find()
	if !ok {
		return
	}
	row := r.Rows[t.row]
	target := asShown(row)
	bottle := "in the reference of " + target
	if row.Bottle != "" {
		bottle = fmt.Sprintf("in bottle %s (%s)", row.Bottle, target)
	}
	change := fmt.Sprintf("%+.2g %%", 100*(row.Ref/row.Reading-1))
	if name == "offset" {
		change = fmt.Sprintf("%+.2g", row.Ref-row.Reading)
	}
	text := fmt.Sprintf("adjust: if the meter has one trim, set it %s so that it shows %s where it shows %s now (%s)",
		bottle, target, r.readingText(t.row), change)
	switch {
	case len(groups(r.Rows)) == 1:
		text += "; one reference cannot show whether the rest of the range is then right"
	case t.left <= 1:
		text += fmt.Sprintf("; the largest error left is then %.0f %% of the tolerance", 100*t.left)
	default:
		text += fmt.Sprintf("; an error of %.2g times the tolerance stays at %s, so one trim is not enough: use the correction, or a meter that is adjusted at two points", t.left, r.refText(r.Rows[t.where].Ref))
	}
	if r.Kind == PH && len(groups(r.Rows)) > 1 {
		r.say("adjust: let the meter calibrate itself in the buffers on both sides of your samples (common practice)")
		text = "or, " + text[len("adjust: "):]
	}
	r.say(text)
}

// asShown writes a reference as the meter would show it: with the decimals of its reading, and one
// more where the reference has them.
func asShown(row Row) string {
	shown := decimals(row.ReadingText, row.Reading)
	places := min(decimals(row.RefText, row.Ref), shown+1)
	return strconv.FormatFloat(row.Ref, 'f', max(places, shown), 64)
}

// readingText is the reading of a row as it was typed: 2.00, not 2.
func (r *Result) readingText(i int) string { return asTyped(r.Rows[i].ReadingText, r.Rows[i].Reading) }

// refText is a reference as it was typed, or as its table prints it.
func (r *Result) refText(ref float64) string {
	for _, row := range r.Rows {
		if row.Ref == ref {
			return asTyped(row.RefText, ref)
		}
	}
	return number(ref)
}

func asTyped(text string, v float64) string {
	if text == "" {
		return number(v)
	}
	return text
}

// decimals counts the decimals a number was typed with, or where nobody typed it is written with.
func decimals(text string, v float64) int {
	if text == "" || strings.ContainsAny(text, "eE") {
		text = strconv.FormatFloat(v, 'f', -1, 64)
	}
	_, fraction, _ := strings.Cut(text, ".")
	return len(fraction)
}
