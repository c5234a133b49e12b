package plan

import (
	"fmt"
	"math"

	"github.com/brinemark/brinemark/calib/uncert"
)

// Reweighed is a full bottle weighed when it was made and weighed again today,
// closed, with nothing poured out in between. (A bottle that was used is
// weighed again after each use, and each such mass is the next "made".)
type Reweighed struct {
	MadeG float64 // bottle, cap and content when made, as the scale showed it
	NowG  float64 // the same today
	// EmptyG is the mass of the empty bottle with its cap; nil: the content
	// is what was weighed in.
	EmptyG *float64
	// UG is the standard uncertainty of one weighing of the bottle in g, on
	// whatever scale takes it; it need not be the bench's, whose step,
	// capacity and linearity say nothing here. nil: unknown, and left out.
	UG *float64
}

// Loss is what has evaporated from a bottle.
type Loss struct {
	MassG    uncert.Value // water lost, true mass
	Fraction uncert.Value // of the content's mass when made
	Gain     uncert.Value // strength now over strength when made (molality)
}

// The weighings of a bottle as a whole, see [Made.WeighingID].
const (
	FullWhenMade = "full bottle when made"
	FullNow      = "full bottle now"
	EmptyBottle  = "empty bottle"
)

// WeighingID is the identifier of the error of one weighing of the bottle as a
// whole: of [FullWhenMade], [FullNow] or [EmptyBottle].
func (m Made) WeighingID(what string) string { return kindWeighing.id(m.Mixed.Owner + "/" + what) }

// CheckFull returns an error where the mass of the full bottle when it was made
// (and that of the empty one, where it is known) contradicts what was weighed
// in: errors as those of [AsMade] with a second weighing, of which
// [Reweighed.NowG] is left aside.
func (m Made) CheckFull(r Reweighed) error {
	r.NowG = r.MadeG
	if err := m.checkReweighed(r); err != nil {
		return err
	}
	made, err := m.bottleMass(FullWhenMade, r.MadeG, r)
	if err != nil {
		return err
	}
	_, err = m.content(made, r)
	return err
}

// Limits of what is taken for evaporation.
const (
	// A bottle may appear heavier by the noise of two weighings, three
	// standard uncertainties; more is water or dirt that got in. Where their
	// uncertainty is unknown, that of a kitchen scale with a step of 1 g is
	// taken for this alone (common practice, no source).
	heavierLimit   = 3.0
	kitchenUG      = 1.0
	lossWarning    = 0.10 // beyond a tenth the bottle is no reference, common practice
	contentAllowed = 0.02 // of the content, between what was weighed in and the bottle's masses
	contentLimit   = 5.0  // the same in standard uncertainties, where that is more
)

// evaporate books the loss: only water leaves, so the salt stays and
//
//	molality now = pure · content / (M · (water · content − loss))
//
// with pure and water the mass fractions when made.
func (m *Made) evaporate(r Reweighed) error {
	if err := m.checkReweighed(r); err != nil {
		return err
	}
	water, err := m.Bench.waterBuoyancy()
	if err != nil {
		return err
	}
	made, err := m.bottleMass(FullWhenMade, r.MadeG, r)
	if err != nil {
		return err
	}
	now, err := m.bottleMass(FullNow, r.NowG, r)
	if err != nil {
		return err
	}
	loss := made.Sub(now).Mul(water)
	content, err := m.content(made, r)
	if err != nil {
		return err
	}
	u := kitchenUG
	if r.UG != nil {
		u = *r.UG
	}
	if noise := heavierLimit * math.Sqrt2 * u; loss.Nominal() < -math.Max(noise, m.Bench.Scale.StepG) {
		return fmt.Errorf("%s: %w: heavier by %s g than when it was made, more than weighing can explain; something got in, or it was another scale", m.Name, errLost, figure(-loss.Nominal()))
	}
	if r.UG == nil {
		m.Warnings = append(m.Warnings, fmt.Sprintf("the uncertainty of the bottle's weighings was not given (--u-bottle-mass): it is unknown, not zero, and is missing from every u; 1 g in each of the two full masses is %s %% of the strength",
			figure2(100*math.Sqrt2/content.Nominal())))
	}
	return m.book(loss, content)
}

// bottleMass is a reading of the bottle on the scale that takes it, whose gain
// is its own.
func (m *Made) bottleMass(what string, g float64, r Reweighed) (uncert.Value, error) {
	gain, err := uncert.New(1, defaultUGain, uncert.Source{ID: kindGain.id("bottle scale"), Label: "gain of the bottle's scale"})
	if err != nil {
		return uncert.Value{}, err
	}
	if r.UG == nil {
		return uncert.Unstated(g, uncert.Source{ID: m.WeighingID("bottle"), Label: "weighings of the bottle"}).Mul(gain), nil
	}
	read, err := uncert.New(g, *r.UG, uncert.Source{ID: m.WeighingID(what), Label: what})
	return read.Mul(gain), err
}

// content is what the bottle held when made: by its masses full and empty, where
// both are known, or else by what was weighed in. Masses that contradict one
// another are an error.
func (m *Made) content(made uncert.Value, r Reweighed) (uncert.Value, error) {
	in := m.Mixed.MassG
	if r.EmptyG == nil {
		if made.Nominal() < in.Nominal()*(1-contentAllowed) {
			return uncert.Value{}, fmt.Errorf("%s: the full bottle weighed %s g when made, less than the %s g weighed into it; one of the two is wrong", m.Name, figure(made.Nominal()), figure(in.Nominal()))
		}
		return in, nil
	}
	empty, err := m.bottleMass(EmptyBottle, *r.EmptyG, r)
	if err != nil {
		return uncert.Value{}, err
	}
	factor, err := m.Bench.stockBuoyancy(m.Mixed.Liquid)
	if err != nil {
		return uncert.Value{}, err
	}
	content := made.Sub(empty).Mul(factor)
	miss := content.Sub(in)
	if math.Abs(miss.Nominal()) > math.Max(contentAllowed*in.Nominal(), contentLimit*miss.U()) {
		return uncert.Value{}, fmt.Errorf("%s: the masses contradict one another: %s g were weighed in, but full less empty is %s g; one of them is wrong, or another batch was meant", m.Name, figure(in.Nominal()), figure(content.Nominal()))
	}
	return content, nil
}

func (m *Made) checkReweighed(r Reweighed) error {
	if r.UG != nil {
		if err := UWeighingRange.Check("bottle weighing", *r.UG); err != nil {
			return err
		}
	}
	for _, x := range []float64{r.MadeG, r.NowG} {
		if !(x > 0) || math.IsInf(x, 0) {
			return fmt.Errorf("%s: the bottle weighed %v g; want the mass of the full closed bottle", m.Name, x)
		}
		if err := MassesRange.Check(m.Name+": full bottle", x); err != nil {
			return err
		}
	}
	if r.EmptyG == nil {
		return nil
	}
	if e := *r.EmptyG; !(e > 0 && e < r.MadeG && e < r.NowG) {
		return fmt.Errorf("%s: the empty bottle weighs %s g, which is not below the full one, %s g when made and %s g now", m.Name, figure(e), figure(r.MadeG), figure(r.NowG))
	}
	return nil
}

func (m *Made) book(loss, content uncert.Value) error {
	old := m.Mixed.Liquid
	left := old.Water.Mul(content).Sub(loss)
	if !(left.Nominal() > 0) {
		return fmt.Errorf("%s: %w: %s g lost is more than the water it held, %s g", m.Name, errLost, figure(loss.Nominal()), figure(old.Water.Mul(content).Nominal()))
	}
	liquid, err := fractions(old.Pure.Mul(content), old.Impurity.Mul(content), left, content.Sub(loss))
	if err != nil {
		return err
	}
	l := Loss{MassG: loss}
	if l.Fraction, err = loss.Div(content); err != nil {
		return err
	}
	// The ratio of the molalities, written so that the salt, which both share,
	// is not in it at all.
	if l.Gain, err = old.Water.Mul(content).Div(left); err != nil {
		return err
	}
	// What the water conducted by itself stays behind as well.
	b := m.Bench
	b.Water.EC25 = b.Water.EC25.Mul(l.Gain)
	if m.Now, err = b.Worth(liquid); err != nil {
		return fmt.Errorf("%s: now: %w", m.Name, err)
	}
	m.Loss = &l
	switch f := l.Fraction.Nominal(); {
	case f > lossWarning:
		m.Warnings = append(m.Warnings, fmt.Sprintf("%s has lost %s %% of its content: make a fresh one (common practice)", m.Name, figure2(100*f)))
	case f < 0:
		m.Warnings = append(m.Warnings, fmt.Sprintf("%s is heavier by %s g than when it was made, which weighing can explain: taken as it is", m.Name, figure2(-loss.Nominal())))
	}
	return nil
}
