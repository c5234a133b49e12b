package line

import (
	"fmt"
	"strings"
)

// way is one method as data: what it needs and how it is run.
type way struct {
	method Method
	fit    func(Points) (*Fit, error)
	least  int // points it needs
}

var ways = []way{
	{MethodGain, Gain, 1},
	{MethodTwoPoint, TwoPoint, 2},
	{MethodOrdinary, Ordinary, 2},
	{MethodWeighted, Weighted, 2},
	{MethodErrorsInBoth, ErrorsInBoth, 2},
	{MethodTheilSen, TheilSen, 3},
	{MethodOffset, Offset, 1},
}

// Methods lists the names in the order they are taught.
func Methods() []Method {
	names := make([]Method, len(ways))
	for i, w := range ways {
		names[i] = w.method
	}
	return names
}

// ParseMethod finds a method by its name; the error lists those there are.
func ParseMethod(name string) (Method, error) {
	var known []string
	for _, w := range ways {
		if string(w.method) == name {
			return w.method, nil
		}
		known = append(known, string(w.method))
	}
	return "", fmt.Errorf("no fit is called %q; there are %s", name, strings.Join(known, ", "))
}

// Fit runs the method on the points.
func (m Method) Fit(p Points) (*Fit, error) {
	for _, w := range ways {
		if w.method == m {
			return w.fit(p)
		}
	}
	_, err := ParseMethod(string(m))
	return nil, err
}

// Choose picks the method from what is known and says why: one reference, gain, and where that is 0,
// offset; two points,
// two-point; both covariances, errors in both; the references' alone, weighted; otherwise line.
func Choose(p Points) (Method, string) {
	switch n := len(p.X); {
	case n > 0 && constant(p.Y) && p.Y[0] == 0:
		return MethodOffset, "no reference but 0, which tells nothing of a gain: an offset"
	case n == 1:
		return MethodGain, "one point: a gain through zero"
	case n > 1 && constant(p.Y):
		return MethodGain, fmt.Sprintf("%d readings of one reference: a gain through zero", n)
	case n == 2:
		return MethodTwoPoint, "two points: the line through both"
	case p.CovX != nil && p.CovY != nil:
		return MethodErrorsInBoth, "the uncertainties of references and of readings are known: errors in both"
	case p.CovY != nil:
		return MethodWeighted, "the uncertainties of the references are known, those of the readings are not: weighted by the references"
	case n > 2:
		return MethodOrdinary, "no reference's uncertainty is known: an ordinary line, judged by its scatter"
	}
	return MethodOrdinary, "no points"
}
