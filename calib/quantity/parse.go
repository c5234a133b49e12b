package quantity

import (
	"fmt"
	"strings"

	"github.com/brinemark/brinemark/calib/spelling"
)

// Quantity is a number with a unit, held in the base unit of its kind.
type Quantity struct {
	Value  float64 // in the kind's base unit
	Kind   Kind
	Factor float64 // ppm per uS/cm, for Display alone; otherwise 0
	Text   string  // as it was typed, without the space around it
}

// Parse reads a number and a unit, such as "1413uS/cm" or "600 mg/L", and
// returns it in the base unit of its kind. allowed lists the kinds that make
// sense in this place; with none given every kind does.
//
// The error is a [*ParseError] that tells a missing number from a missing
// unit, an unknown unit from one of the wrong kind, and says what would be
// right. A bare ppm is refused with [ErrBarePPM]: it may mean mg/L, mg/kg or a
// display that multiplies uS/cm by some factor, which is written 600ppm@0.5.
// A value below the least its kind can have (below zero; for a temperature,
// below -273.15 C) is refused with [ErrOutOfRange]; a length can be negative,
// since land lies below the sea too.
func Parse(text string, allowed ...Kind) (Quantity, error) {
	q, err := parse(clean(text), allowed)
	if err != nil {
		return Quantity{}, err
	}
	return q, nil
}

func parse(text string, allowed []Kind) (Quantity, error) {
	fail := func(cause error, reason, want string) (Quantity, error) {
		return Quantity{}, &ParseError{Text: text, Reason: reason, Want: want, Err: cause}
	}
	n, rest := scanNumber(text)
	switch {
	case text == "":
		return fail(ErrNotANumber, "is empty", wanted(allowed))
	case n.digits == "":
		return fail(ErrNotANumber, "does not begin with a number", wanted(allowed))
	case strings.HasPrefix(rest, ","):
		return fail(ErrDecimalComma, "has a comma", commaHint(n, rest))
	case strings.HasPrefix(rest, "."):
		return fail(ErrNotANumber, "has two decimal points", wanted(allowed))
	}
	written := spelt(rest)
	name, factorText, hasFactor := strings.Cut(written, "@")
	if written == "" {
		return fail(ErrNoUnit, "has no unit", wanted(allowed))
	}
	if isDigit(written[0]) {
		return fail(ErrNotANumber, "has a space inside its number", "write its digits together")
	}
	s, known := lookUp(name)
	if !known {
		typed, _, _ := strings.Cut(rest, "@")
		reason, want := unknownUnit(n, name, strings.TrimSpace(typed), allowed)
		return fail(ErrUnknownUnit, reason, want)
	}
	if s.kind == Display && !hasFactor && (permits(allowed, Display) || permits(allowed, MassConcentration)) {
		reason, want := barePPM(n.text())
		return fail(ErrBarePPM, reason, want)
	}
	if !permits(allowed, s.kind) {
		return fail(ErrWrongKind, fmt.Sprintf("is %s %s", article(s.kind.String()), s.kind), wanted(allowed))
	}
	q := Quantity{Kind: s.kind, Text: text}
	if hasFactor {
		if s.kind != Display {
			return fail(ErrUnknownUnit, "has a factor, which only ppm takes", "write "+n.text()+name)
		}
		factor, err := ParseNumber(factorText)
		if err != nil {
			return fail(ErrFactor, "has no number after the @", "write for example "+n.text()+"ppm@0.5")
		}
		if err := CheckFactor(factor); err != nil {
			return Quantity{}, err
		}
		q.Factor = factor
	}
	v, err := n.value(s.power)
	if err != nil {
		return fail(ErrOutOfRange, "is "+err.Error(), wanted(allowed))
	}
	if info := kinds[s.kind]; v < info.least {
		return fail(ErrOutOfRange, "is too low", info.why)
	}
	q.Value = v
	return q, nil
}

// barePPM words the refusal of a ppm without a factor.
func barePPM(n string) (reason, want string) {
	return "has no single meaning",
		fmt.Sprintf("write %[1]smg/L for milligrams of salt per litre, %[1]smg/kg for milligrams per kilogram of "+
			"solution, or %[1]sppm@0.5 for a display that multiplies uS/cm by 0.5 (or @0.64, @0.7: see the meter's manual)", n)
}

// unknownUnit words the refusal of a unit that is not in the table, by the name it is
// looked up by and as it was typed.
func unknownUnit(n decimal, name, typed string, allowed []Kind) (reason, want string) {
	if f, ok := foreignUnit(name); ok {
		if s, _ := lookUp(f.want); permits(allowed, s.kind) {
			if v, err := n.value(0); err == nil {
				return "is in " + f.name, f.hint(v)
			}
		}
	}
	reason = "has an unknown unit, " + Quoted(typed)
	if word, ok := nearestUnit(name, allowed); ok {
		return reason, fmt.Sprintf("the nearest right one is %s", word)
	}
	return reason, wanted(allowed)
}

// nearestUnit finds the unit that was begun, as "mS" begins mS/cm, or nearly
// written, among those of the allowed kinds.
func nearestUnit(name string, allowed []Kind) (string, bool) {
	var words []string
	for _, s := range symbols {
		if permits(allowed, s.kind) {
			words = append(words, s.text)
		}
	}
	for _, word := range words {
		if strings.HasPrefix(word, name+"/") {
			return word, true
		}
	}
	return spelling.Nearest(name, words)
}
