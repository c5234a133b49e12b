package plan

import (
	"fmt"
	"math"

	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
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
	// UG is the standard uncertainty of one weighing of the bottle in g;
	// nil: that of the bench's scale.
	UG *float64
}

// Loss is what has evaporated from a bottle.
type Loss struct {
	MassG    uncert.Value // water lost, true mass
	Fraction uncert.Value // of the content's mass when made
	Gain     uncert.Value // strength now over strength when made (molality)
}

// Limits of what is taken for evaporation.
const (
	// A bottle may appear heavier by the noise of two weighings, three
	// standard uncertainties; more is water or dirt that got in.
	heavierLimit = 3.0
	// Beyond a tenth the bottle is no reference any more, common practice.
	lossWarning = 0.10
)

// evaporate books the loss: only water leaves, so the salt stays and
//
//	molality now = pure · content / (M · (water · content − loss))
//
// with pure and water the mass fractions when made.
func (m *Made) evaporate(r Reweighed) error {
	b := m.Bench
	if r.UG != nil {
		b.Scale.UG, b.Scale.CapacityStated = *r.UG, false // another scale, perhaps
		if err := UWeighingRange.Check("bottle weighing", b.Scale.UG); err != nil {
			return err
		}
	}
	water, err := buoyancy(func(t ...float64) (float64, error) { return solutions.WaterDensity(t[0]) }, b.Water.TempC)
	if err != nil {
		return err
	}
	if err := m.checkReweighed(r); err != nil {
		return err
	}
	read := func(what string, g float64) (uncert.Value, error) {
		return b.mass(vessel{name: m.Name}, what, what, []float64{g}, uncert.Exact(1))
	}
	made, err := read("full bottle when made", r.MadeG)
	if err != nil {
		return err
	}
	now, err := read("full bottle now", r.NowG)
	if err != nil {
		return err
	}
	loss := made.Sub(now).Mul(water)
	content := m.Mixed.MassG
	if r.EmptyG != nil {
		empty, err := read("empty bottle", *r.EmptyG)
		if err != nil {
			return err
		}
		factor, err := b.stockBuoyancy(m.Mixed.Liquid)
		if err != nil {
			return err
		}
		content = made.Sub(empty).Mul(factor)
	}
	if noise := heavierLimit * math.Sqrt2 * b.Scale.UG; loss.Nominal() < -math.Max(noise, b.Scale.StepG) {
		return fmt.Errorf("%s: %w: heavier by %s g than when it was made, more than weighing can explain; something got in, or it was another scale", m.Name, errLost, figure(-loss.Nominal()))
	}
	return m.book(b, loss, content)
}

func (m *Made) checkReweighed(r Reweighed) error {
	for _, x := range []float64{r.MadeG, r.NowG} {
		if !(x > 0) || math.IsInf(x, 0) {
			return fmt.Errorf("%s: the bottle weighed %v g; want the mass of the full closed bottle", m.Name, x)
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

func (m *Made) book(b Bench, loss, content uncert.Value) error {
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
	m.Bench.Water.EC25 = b.Water.EC25.Mul(l.Gain)
	if m.Now, err = m.Bench.Worth(liquid); err != nil {
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
