package shelf

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
)

// ErrWeighing is wrapped by the error about a weighing that cannot be booked.
var ErrWeighing = errors.New("this weighing cannot be booked")

// Weighing is a closed bottle on the scale, some time after it was weighed last.
type Weighing struct {
	At    time.Time // in the zone whose days the bottle's are
	MassG float64   // as the scale shows it: bottle, cap and content
	// UG is the standard uncertainty of one weighing in g; nil: the one on
	// record.
	UG *float64
	// LeftG is what the bottle weighs after a portion was poured out now; nil
	// where none was. The next loss counts from it.
	LeftG *float64
	// NothingPoured says that nothing was poured out or spilled since it was
	// weighed last: then all that is missing is water, however much.
	NothingPoured bool
}

// Loss is what has evaporated from a bottle since it was weighed last.
type Loss struct {
	MassG    uncert.Value // water lost, true mass
	Fraction uncert.Value // of the content's mass
	Gain     uncert.Value // strength now over strength then (molality)
}

// Limits of what is taken for evaporation.
const (
	// weighingTempC is the temperature of the bottle when it is weighed. Its
	// density, and so its buoyancy, changes by 2e-6 of the mass for a degree.
	weighingTempC = 20
	// noise is how many standard uncertainties of a difference a bottle may
	// appear heavier; beyond it something got in.
	noise = 3.0
	// muchLost is the fraction beyond which a bottle is no reference any more.
	// Common practice, no source.
	muchLost = 0.10
)

// Weigh makes the next version of a bottle that was weighed again: as strong as
// the loss of water has made it. Only water leaves, so
//
//	molality now = molality · W / (W − loss)
//
// with W the water in it when it was weighed last. b must be the current
// version. loss is nil for the first weighing, which only gives later ones
// something to count from. A loss that no closed bottle has is refused, since it
// will have been poured out, unless w says that nothing was.
func Weigh(b logbook.Bottle, w Weighing) (next logbook.Bottle, loss *Loss, warnings []string, err error) {
	fail := func(format string, args ...any) (logbook.Bottle, *Loss, []string, error) {
		return logbook.Bottle{}, nil, nil, fmt.Errorf("bottle %s: %w: %s", b.Name, ErrWeighing, fmt.Sprintf(format, args...))
	}
	u := b.UWeighingG
	if w.UG != nil {
		u = w.UG
	}
	switch {
	case b.Salt == "":
		return fail("what evaporation does to a pH buffer is not known; make a fresh one")
	case u == nil:
		return fail("the standard uncertainty of a weighing is not on record; give it, such as 0.05g")
	case !(w.MassG > 0) || math.IsInf(w.MassG, 0):
		return fail("found %v g; want the mass of the closed bottle", w.MassG)
	case !b.Since.IsZero() && !w.At.After(b.Since):
		return fail("it was weighed last on %s; want a later time", b.Since.Format(time.RFC3339))
	case w.At.Format(time.DateOnly) < b.MadeOn:
		return fail("it was made on %s, and the weighing is of %s; want a day from then on", b.MadeOn, w.At.Format(time.DateOnly))
	case b.EmptyG != nil && w.MassG <= *b.EmptyG:
		return fail("found %v g, not more than the empty bottle, %v g", w.MassG, *b.EmptyG)
	case w.LeftG != nil && (!(*w.LeftG > 0) || *w.LeftG > w.MassG || b.EmptyG != nil && *w.LeftG <= *b.EmptyG):
		return fail("found %v g after pouring; want less than before, %v g, and more than the empty bottle", *w.LeftG, w.MassG)
	}
	next = b
	next.Head = logbook.Head{Supersedes: b.ID}
	next.Since, next.UWeighingG = w.At, u
	source := func(what string) uncert.Source {
		return uncert.Source{ID: weighingID(b.Name, what) + w.At.UTC().Format(time.RFC3339Nano), Label: "weighing of the bottle"}
	}
	if b.FullG != nil {
		if loss, err = lost(b, w.MassG, *u, source("full")); err != nil {
			return fail("%v", err)
		}
		if err := strengthen(&next, b, *loss); err != nil {
			return fail("%v", err)
		}
		warnings = remarks(b, *loss)
		if text := poured(b, w, *loss); text != "" && !w.NothingPoured {
			warnings = append(warnings, text)
		}
	}
	next.FullG, next.Weighing = &w.MassG, source("full").ID
	if w.LeftG != nil {
		if next.ContentG != nil {
			rest := *next.ContentG - (w.MassG - *w.LeftG)
			next.ContentG = &rest
			if !(rest > 0) {
				return fail("%v g poured out is more than it held", w.MassG-*w.LeftG)
			}
		}
		next.FullG, next.Weighing = w.LeftG, source("left").ID
	}
	return next, loss, warnings, nil
}

// lost works out the loss since the last weighing.
func lost(b logbook.Bottle, nowG, u float64, now uncert.Source) (*Loss, error) {
	s, err := solution(b)
	if err != nil {
		return nil, err
	}
	before, after := b.Weighing, now.ID
	if before == "" {
		before = "weighing:" + b.Name + "/full"
	}
	uBefore := u
	if b.UWeighingG != nil {
		uBefore = *b.UWeighingG
	}
	then, err := uncert.New(*b.FullG, uBefore, uncert.Source{ID: before, Label: now.Label})
	if err != nil {
		return nil, err
	}
	today, err := uncert.New(nowG, u, uncert.Source{ID: after, Label: now.Label})
	if err != nil {
		return nil, err
	}
	factor, err := solutions.WaterBuoyancyFactor(weighingTempC)
	if err != nil {
		return nil, err
	}
	content, err := contentOf(b, then, s)
	if err != nil {
		return nil, err
	}
	var l Loss
	l.MassG = then.Sub(today).Scale(factor)
	if heavier := -l.MassG.Nominal(); heavier > noise*math.Hypot(u, uBefore) {
		return nil, fmt.Errorf("it is heavier by %.3g g than it was, more than weighing can explain; something got in, or it was another scale", heavier)
	}
	if l.Fraction, err = l.MassG.Div(content); err != nil {
		return nil, err
	}
	// Water is 1 part in 1 + m·M of the solution, m in mol and M in kg/mol.
	water := content.Scale(1 / (1 + s.Molality.Nominal()*s.Salt.MolarMass/1000))
	left := water.Sub(l.MassG)
	if !(left.Nominal() > 0) {
		return nil, fmt.Errorf("%.4g g lost is more than the water it held, %.4g g", l.MassG.Nominal(), water.Nominal())
	}
	l.Gain, err = water.Div(left)
	return &l, err
}

// contentOf is the true mass of the solution when the bottle was weighed last.
func contentOf(b logbook.Bottle, full uncert.Value, s solutions.SaltReference) (uncert.Value, error) {
	switch {
	case b.EmptyG != nil:
		empty, err := uncert.New(*b.EmptyG, full.U(), uncert.Source{ID: "weighing:" + b.Name + "/empty", Label: "weighing of the empty bottle"})
		if err != nil {
			return uncert.Value{}, err
		}
		fraction, err := solutions.MassFraction(s.Salt, s.Molality.Nominal())
		if err != nil {
			return uncert.Value{}, err
		}
		density, err := solutions.SolutionDensity(s.Salt, fraction, weighingTempC)
		if err != nil {
			return uncert.Value{}, err
		}
		factor, err := solutions.BuoyancyFactor(density, solutions.AirDensity)
		return full.Sub(empty).Scale(factor), err
	case b.ContentG != nil:
		return uncert.Exact(*b.ContentG), nil
	}
	return uncert.Value{}, errors.New("neither the mass of the empty bottle nor that of its content is on record; add one of them with --correct")
}

// strengthen writes the new strength into the next version.
func strengthen(next *logbook.Bottle, b logbook.Bottle, l Loss) error {
	s, err := solution(b)
	if err != nil {
		return err
	}
	if b.StrengthUnit == "uS/cm" || b.StrengthUnit == "ppm" {
		// A strength stated as a conductivity stays one: it needs no model.
		stated, err := b.Strength.Uncertain()
		if err != nil {
			return err
		}
		if b.PPMFactor != nil {
			stated = stated.Scale(1 / *b.PPMFactor)
		}
		now, err := uncert.Apply(func(x ...float64) (float64, error) {
			m, err := solutions.MolalityFor(s.Salt, x[0])
			if err != nil {
				return 0, err
			}
			return solutions.Conductivity(s.Salt, m*x[1], solutions.StrengthTempC)
		}, stated, l.Gain)
		if err != nil {
			return err
		}
		next.StrengthUnit, next.PPMFactor, next.Strength = "uS/cm", nil, logbook.Keep(now)
	} else {
		next.StrengthUnit, next.Strength = "mol/kg", logbook.Keep(s.Molality.Mul(l.Gain))
	}
	if b.WaterEC25 != nil { // what the water conducted stays behind as well
		ec25, err := b.WaterEC25.Uncertain()
		if err != nil {
			return err
		}
		next.WaterEC25 = logbook.Keep(ec25.Mul(l.Gain))
	}
	if b.ContentG != nil {
		rest := *b.ContentG - l.MassG.Nominal()
		next.ContentG = &rest
	}
	return nil
}

func remarks(b logbook.Bottle, l Loss) []string {
	var out []string
	switch f := l.Fraction.Nominal(); {
	case f > muchLost:
		out = append(out, fmt.Sprintf("bottle %s has lost %.2g %% of its content: make a fresh one (common practice)", b.Name, 100*f))
	case f < 0:
		out = append(out, fmt.Sprintf("bottle %s is heavier by %.2g g than it was, which weighing can explain: taken as it is", b.Name, -l.MassG.Nominal()))
	}
	if names := leftOut(l.Gain); names != "" {
		out = append(out, "left out of the uncertainty: "+names)
	}
	return out
}

// leftOut names the sources whose size nobody stated.
func leftOut(v uncert.Value) string {
	var names []string
	for _, s := range v.Unstated() {
		names = append(names, s.Label)
	}
	return strings.Join(names, ", ")
}
