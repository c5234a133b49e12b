package logbook

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/brinemark/brinemark/calib/quantity"
)

// ErrImpossible is wrapped by the error about a value that cannot be.
var ErrImpossible = errors.New("impossible value")

// ValueError is one value of a row that cannot be.
type ValueError struct {
	Kind  Kind
	ID    string // empty for a row not yet saved
	Field string // such as "reading 3, u_ref"
	Found string
	Want  string
}

// Error reads as one line: "meter P1, ppm_factor: found 500; want …".
func (e *ValueError) Error() string {
	where := string(e.Kind)
	if e.ID != "" {
		where += " " + shown(e.ID)
	}
	return fmt.Sprintf("%s, %s: found %s; want %s", where, e.Field, e.Found, e.Want)
}

// shown is an identity as it is, or quoted where it is none that could be.
func shown(id string) string {
	if checkName(id, true) != nil {
		return quantity.Quoted(id)
	}
	return id
}

// Unwrap returns [ErrImpossible].
func (e *ValueError) Unwrap() error { return ErrImpossible }

// limits is a closed interval of numbers that can be.
type limits struct {
	low, high float64
	want      string
}

// What numbers can be. They are facts, not the ranges of any model.
var (
	anyNumber  = limits{-math.MaxFloat64, math.MaxFloat64, "a finite number"}
	positive   = limits{math.SmallestNonzeroFloat64, math.MaxFloat64, "a number above 0"}
	notBelow0  = limits{0, math.MaxFloat64, "0 (exact) or more, or nothing where it is not known"}
	celsius    = limits{-273.15, math.MaxFloat64, "a temperature in C, not below absolute zero"}
	ppmPerUS   = limits{0.1, 2, "a factor in ppm per uS/cm such as 0.5"}
	perKelvin  = limits{0, 0.1, "a coefficient per C such as 0.02"}
	maxText    = 10000
	maxName    = 64
	maxReading = 100000
)

// inspector collects what is wrong with one row.
type inspector struct {
	kind   Kind
	id     string
	prefix string // such as "reading 3, "
	errs   []error
}

// check inspects a row; the error joins all that is wrong with it.
func check(r Record) error {
	h := r.head()
	in := &inspector{kind: r.kind(), id: h.ID}
	if h.Kind != r.kind() {
		in.fault("kind", quantity.Quoted(string(h.Kind)), strconv.Quote(string(r.kind())))
	}
	in.name("id", h.ID, true)
	if h.Supersedes != "" {
		in.name("supersedes", h.Supersedes, true)
	}
	if strings.EqualFold(h.Supersedes, h.ID) {
		in.fault("supersedes", "the row itself", "another row")
	}
	in.time("recorded_at", h.RecordedAt)
	r.inspect(in)
	if len(in.errs) == 0 {
		return nil
	}
	return valueErrors(in.errs)
}

// valueErrors is all that is wrong with a row, on one line.
type valueErrors []error

func (e valueErrors) Error() string {
	var texts []string
	for _, err := range e {
		texts = append(texts, err.Error())
	}
	return strings.Join(texts, "; ")
}

// Unwrap returns the errors.
func (e valueErrors) Unwrap() []error { return e }

func (in *inspector) fault(field, found, want string) {
	in.errs = append(in.errs, &ValueError{in.kind, in.id, in.prefix + field, found, want})
}

// number inspects a number that must be known.
func (in *inspector) number(field string, x float64, l limits) {
	if !(x >= l.low && x <= l.high) {
		in.fault(field, strconv.FormatFloat(x, 'g', -1, 64), l.want)
	}
}

// optional inspects a number that may be unknown.
func (in *inspector) optional(field string, x *float64, l limits) {
	if x != nil {
		in.number(field, *x, l)
	}
}

// word inspects a text that is one of a list.
func (in *inspector) word(field, text string, words ...string) {
	if !slices.Contains(words, text) {
		in.fault(field, quantity.Quoted(text), strings.Join(words, ", "))
	}
}

// text inspects free text.
func (in *inspector) text(field, text string) {
	switch {
	case !utf8.ValidString(text):
		in.fault(field, "bytes that are not UTF-8 text", "text")
	case len(text) > maxText:
		in.fault(field, fmt.Sprintf("%d bytes", len(text)), fmt.Sprintf("at most %d", maxText))
	case strings.ContainsRune(text, 0):
		in.fault(field, "a zero byte", "text")
	}
}

// label inspects a name that somebody gave to something that is not a row.
func (in *inspector) label(field, text string) {
	in.text(field, text)
	if text == "" {
		in.fault(field, "nothing", "a name")
	}
}

// name inspects an identity. Only identities that Save made have a slash.
func (in *inspector) name(field, text string, version bool) {
	if err := checkName(text, version); err != nil {
		in.errs = append(in.errs, &ValueError{in.kind, in.id, in.prefix + field, quantity.Quoted(text), err.Error()})
	}
}

// time inspects a time that must be known.
func (in *inspector) time(field string, t time.Time) {
	if t.IsZero() || t.Year() < 1 || t.Year() > 9999 {
		in.fault(field, t.UTC().Format(time.RFC3339), "a time")
	}
}

// optionalTime inspects a time that may be unknown.
func (in *inspector) optionalTime(field string, t time.Time) {
	if !t.IsZero() {
		in.time(field, t)
	}
}

// date inspects a calendar day, which may be empty.
func (in *inspector) date(field, text string) {
	if _, err := time.Parse(time.DateOnly, text); text != "" && err != nil {
		in.fault(field, quantity.Quoted(text), "a day such as 2026-03-01")
	}
}

// object inspects JSON that is kept as it is.
func (in *inspector) object(field string, text []byte) {
	if len(text) == 0 || text[0] != '{' {
		in.fault(field, "no JSON object", "what the command printed with --json")
		return
	}
	if err := checkKeys(text); err != nil {
		in.fault(field, err.Error(), "what the command printed with --json")
	}
}

// CheckName returns an error unless text can name a meter or a bottle: 1 to 64
// characters that can be printed, without a slash, a comma, a semicolon or a
// quote, no blank at either end and no dash in front. The error says what would
// be right.
func CheckName(text string) error {
	if err := checkName(text, false); err != nil {
		return fmt.Errorf("%s cannot be a name; want %w", quantity.Quoted(text), err)
	}
	return nil
}

func checkName(text string, version bool) error {
	switch n := utf8.RuneCountInString(text); {
	case n == 0 || n > maxName:
		return fmt.Errorf("1 to %d characters", maxName)
	case !utf8.ValidString(text):
		return errors.New("UTF-8 text")
	case strings.TrimSpace(text) != text:
		return errors.New("a name without blanks around it")
	case text[0] == '-':
		return errors.New("a name that does not begin with a dash, as a flag does")
	}
	for _, r := range text {
		if !unicode.IsPrint(r) || strings.ContainsRune(`,;"'\`, r) || r == '/' && !version {
			return fmt.Errorf("a name without %q", r)
		}
	}
	return nil
}
