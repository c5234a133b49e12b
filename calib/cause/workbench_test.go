package cause_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/agree"
	"github.com/brinemark/brinemark/calib/cause"
	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/quantity"
)

// A second population of invented days, made to differ from the first
// (invent_test.go): it goes in by the front door (NewSet, Compare, Explain),
// every day has another display, order, range, step and number of meters, faults
// are measured in tolerances, the 20 C fault is among the compensations, and
// sound meters have no error but noise.

// workbench is how its days are done.
type workbench struct {
	name     string
	bottles  [2]int
	repeats  int
	anywhere bool // bottles at random, not spread over the range
	refs     bool
	// least and most are the sizes of faults in tolerances of 5 %.
	least, most float64
	salt        bool // the references do not know sodium chloride's own temperature behaviour
	cause, aim  float64
}

func workbenches() []workbench {
	usual := workbench{name: "faults up to 8 tolerances", bottles: [2]int{5, 8}, repeats: 3, refs: true, least: 1.3, most: 8, cause: 0.95, aim: 0.95}
	small, three, salt, bare := usual, usual, usual, usual
	small.name, small.least, small.most = "faults of 1.5 to 3 tolerances", 1.5, 3
	three.name, three.bottles, three.repeats, three.anywhere, three.cause, three.aim = "three bottles at random, one reading", [2]int{3, 3}, 1, true, 0.90, 0.90
	salt.name, salt.salt = "sodium chloride on a straight coefficient", true
	bare.name, bare.refs, bare.aim = "no references", false, 0
	return []workbench{usual, small, three, salt, bare}
}

// truth is what was put into a day.
type truth struct {
	cause cause.ID
	meter string
}

const day, coefficient, noise, bottle = 0.05, 0.02, 0.004, 0.006

// liquid is one cup.
type liquid struct{ label, is, tempC float64 }

// cups are the day's bottles, in any order.
func (w workbench) cups(rng *rand.Rand, top float64) []liquid {
	out := make([]liquid, w.bottles[0]+rng.IntN(w.bottles[1]-w.bottles[0]+1))
	for i := range out {
		at := (float64(i) + 0.1 + 0.8*rng.Float64()) / float64(len(out))
		if w.anywhere {
			at = rng.Float64()
		}
		c := &out[i]
		c.label, c.tempC = top*(0.15+0.85*at), 12+20*rng.Float64()
		c.is = c.label * (1 + bottle*rng.NormFloat64())
		if w.salt {
			// Near the handbook's ratios of conductivity to that at 25 C.
			dt := c.tempC - 25
			c.is *= (1 + 0.0212*dt + 0.00008*dt*dt) / (1 + 0.0202*dt)
		}
	}
	rng.Shuffle(len(out), func(i, j int) { out[i], out[j] = out[j], out[i] })
	return out
}

// invent makes a day on which one thing is wrong; false where these bottles do
// not allow it.
func (w workbench) invent(rng *rand.Rand, id cause.ID) ([]agree.Reading, truth, bool) {
	unit := []float64{1, 1, 0.001, 0.5, 0.7}[rng.IntN(5)]
	top := unit * []float64{2000, 4000, 10000}[rng.IntN(3)]
	step := math.Pow(10, math.Floor(math.Log10(top/1500)))
	cups := w.cups(rng, top)
	meters := 2 + rng.IntN(5)/4
	bad := rng.IntN(meters)
	said := truth{cause: id, meter: fmt.Sprintf("M%d", bad)}
	size := day * (w.least + (w.most-w.least)*rng.Float64()) * float64(2*rng.IntN(2)-1)
	low, high := math.Inf(1), 0.0
	for _, c := range cups {
		low, high = min(low, c.label), max(high, c.label)
	}
	own, show := noise, func(c liquid) float64 { return c.is }
	switch id {
	case cause.None:
		said.meter = ""
	case cause.DisplayScale:
		factors := []float64{0.5, 0.64, 0.7, 1, 1000}
		ratio := factors[rng.IntN(5)] / factors[rng.IntN(5)]
		if math.Abs(ratio-1) < 0.2 || ratio < 0.01 { // a step of 1 leaves nothing of a thousandth
			return nil, said, false
		}
		show = func(c liquid) float64 { return ratio * c.is }
	case cause.Gain:
		show = func(c liquid) float64 { return (1 + size) * c.is }
		for _, r := range []float64{0.5, 0.64, 0.7, 0.5 / 0.64, 0.5 / 0.7, 0.64 / 0.7} {
			if math.Abs((1+size)/r-1) < 0.03 || math.Abs((1+size)*r-1) < 0.03 {
				return nil, said, false // like a display factor: nobody can tell
			}
		}
	case cause.Zero:
		zero := max(size*(low+high)/2, -0.7*low)
		show = func(c liquid) float64 { return c.is + zero }
	case cause.Compensation:
		straight := func(a, ref, t float64) float64 { return 1 + a*(t-ref) }
		alpha, ref := 0.0, 25.0
		switch rng.IntN(3) {
		case 0:
			alpha = coefficient + math.Copysign(0.006+0.006*rng.Float64(), size)
		case 1:
			alpha, ref = coefficient, 20
		}
		show = func(c liquid) float64 {
			return c.is * straight(coefficient, 25, c.tempC) / straight(alpha, ref, c.tempC)
		}
	case cause.BadBottle:
		said.meter = ""
		cups[rng.IntN(len(cups))].is *= 1 + size
	case cause.Swapped:
		said.meter = ""
		if math.Abs(cups[0].label/cups[1].label-1) < 3*day {
			return nil, said, false
		}
		cups[0].is, cups[1].is = cups[1].is, cups[0].is
	case cause.Saturation:
		end := high * (1 - min(0.45, math.Abs(size)))
		show = func(c liquid) float64 { return min(c.is, end) }
		below := 0
		for _, c := range cups {
			if c.label < end {
				below++
			}
		}
		if below < 2 {
			return nil, said, false
		}
	case cause.Unstable:
		own = math.Abs(size) * 0.4
	}
	var rows []agree.Reading
	for i, c := range cups {
		for m := range meters {
			for range w.repeats {
				sd, x := noise, c.is
				if m == bad {
					sd, x = own, show(c)
				}
				x = math.Max(0, step*math.Round(x*(1+sd*rng.NormFloat64())/step))
				r := agree.Reading{Row: len(rows) + 2, Meter: fmt.Sprintf("M%d", m), Sample: fmt.Sprint(i), Value: x, TempC: &cups[i].tempC}
				if u := c.label * bottle; w.refs {
					r.Ref, r.URef = &cups[i].label, &u
				}
				rows = append(rows, r)
			}
		}
	}
	return rows, said, true
}

func TestCausesOnASecondWorkbench(t *testing.T) {
	if testing.Short() {
		t.Skip("a simulation of some hundred bench days")
	}
	each := 4
	if os.Getenv("BRINEMARK_SOAK") != "" {
		each = 100
	}
	sure, sureRight, saidSure := 0.0, 0.0, 0.0
	for _, w := range workbenches() {
		rng := rand.New(rand.NewPCG(1811, 6))
		causes := []cause.ID{cause.None, cause.DisplayScale, cause.Gain, cause.Zero, cause.Compensation, cause.Saturation, cause.Unstable}
		if w.refs {
			causes = append(causes, cause.BadBottle, cause.Swapped)
		}
		var cases, right, trusted, wronged float64
		for _, id := range causes {
			for n := 0; n < each; {
				rows, said, ok := w.invent(rng, id)
				if !ok {
					continue
				}
				n++
				set, err := agree.NewSet(rows)
				require.NoError(t, err)
				tolerance := quantity.Tolerance{Value: day, Relative: true}
				c, err := agree.Compare(set, check.EC, tolerance)
				require.NoError(t, err)
				x := cause.Explain(set, c, cause.Options{})
				top := x.Causes[0]
				cases++
				if top.Cause == id {
					right++
				}
				// Trust is right when it names a sound meter where one is at fault, and
				// nobody where none is; wrong when it names the faulty one, or anybody
				// where a bottle is at fault or nothing.
				if said.meter == "" == (x.Trust == "") && (x.Trust == "" || x.Trust != said.meter) {
					trusted++
				}
				if x.Trust != "" && (said.meter == "" || x.Trust == said.meter) {
					wronged++
				}
				if top.Probability >= 0.8 {
					sure++
					saidSure += top.Probability
					if top.Cause == id {
						sureRight++
					}
				}
			}
		}
		t.Logf("| %s | %.0f | %.1f %% | %.1f %% | %.1f %% |", w.name, cases, 100*right/cases, 100*trusted/cases, 100*wronged/cases)
		assert.GreaterOrEqual(t, right/cases, w.cause, "%s: right cause", w.name)
		assert.GreaterOrEqual(t, trusted/cases, w.aim, "%s: the right meter, or nobody where nobody is at fault", w.name)
		assert.LessOrEqual(t, wronged/cases, 0.01, "%s: the wrong meter", w.name)
	}
	assert.GreaterOrEqual(t, sureRight, saidSure, "of the cases given 80 %% and more")
	t.Logf("%.0f cases given 80 %% and more: %.1f %% on average, right in %.1f %%", sure, 100*saidSure/sure, 100*sureRight/sure)
}

// Two meters without references are alike before the judge: what one shows too
// much of, the other shows too little of, and nothing tells whose error it is.
func TestWithoutReferencesNeitherMeterIsFavoured(t *testing.T) {
	labels := []float64{310, 500, 720, 960, 1200, 1450, 1700, 1950}
	for name, show := range map[string]func(v float64) float64{
		"a constant amount below, nearly to nothing": func(v float64) float64 { return v - 290 },
		"a constant amount above":                    func(v float64) float64 { return v + 290 },
		"a share below":                              func(v float64) float64 { return 0.6 * v },
		"a share above":                              func(v float64) float64 { return 1.33 * v },
		"half":                                       func(v float64) float64 { return 0.5 * v },
	} {
		rng := rand.New(rand.NewPCG(3, 3))
		var rows []agree.Reading
		for i, v := range labels {
			for k := range 3 {
				for m, shown := range []float64{v, show(v)} {
					x := math.Round(shown * (1 + noise*rng.NormFloat64()))
					rows = append(rows, agree.Reading{Row: len(rows) + 2, Meter: fmt.Sprintf("M%d", m), Sample: fmt.Sprint(i), Replicate: fmt.Sprint(k), Value: x})
				}
			}
		}
		set, err := agree.NewSet(rows)
		require.NoError(t, err)
		c, err := agree.Compare(set, check.EC, quantity.Tolerance{Value: day, Relative: true})
		require.NoError(t, err)
		x := cause.Explain(set, c, cause.Options{})
		assert.Empty(t, x.Trust, name)
		assert.Empty(t, x.Causes[0].Meter, "%s: %s", name, x.Causes[0].Text)
		assert.Contains(t, []cause.ID{cause.Gain, cause.Zero, cause.DisplayScale}, x.Causes[0].Cause, name)
		assert.Greater(t, x.Causes[0].Probability, 0.8, name)
	}
}
