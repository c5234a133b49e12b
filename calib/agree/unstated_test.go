package agree

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/conformity"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/uncert"
)

// forget takes the stated uncertainty of one sample's reference away.
func forget(rows []Reading, sample string) {
	for i := range rows {
		if rows[i].Sample == sample {
			rows[i].URef, rows[i].URefShared = nil, nil
		}
	}
}

// A reference of unknown uncertainty leaves what is stated of the others: five
// bottles good to 10 % do not show a meter to be within 2 %, whichever of them
// lost its label.
func TestOneUnknownReferenceKeepsTheStatedOnes(t *testing.T) {
	refs := []float64{400, 1000, 1413, 2000, 2800}
	twoPercent := quantity.Tolerance{Value: 0.02, Relative: true}
	for _, lost := range []string{"S1", "S3", "S5"} {
		rows := two([]float64{400.4, 1001, 1414.4, 2002, 2802.8}, []float64{400.5, 1001.2, 1414.7, 2002.4, 2803.4})
		for i := range rows {
			rows[i].Ref, rows[i].URef = ptr(refs[i/2]), ptr(0.1*refs[i/2])
		}
		forget(rows, lost)
		c := compared(t, rows, check.EC, twoPercent)
		for _, m := range c.Meters {
			assert.NotEqual(t, conformity.Pass, m.Verdict, lost)
			assert.Less(t, m.PWithin, 0.5, lost)
			assert.Equal(t, []string{lost}, m.Assumed)
		}
		assert.Contains(t, strings.Join(c.Warnings, "\n"), "meter A: u_ref is given for some references and not for sample "+lost)
	}
}

// Where there are too few references for scatter, the stated one stands alone.
func TestUnknownReferenceIsLeftOutWhereScatterTellsNothing(t *testing.T) {
	rows := two([]float64{1001, 2010}, []float64{1200, 2400})
	for i := range rows {
		rows[i].Ref, rows[i].UValue = ptr(1000*float64(1+i/2)), ptr(2)
		rows[i].URef = ptr(6)
	}
	forget(rows, "S2")
	c := compared(t, rows, check.EC, fivePercent)
	assert.Equal(t, conformity.Pass, c.Meters[0].Verdict)
	assert.Equal(t, conformity.Fail, c.Meters[1].Verdict)
	assert.Equal(t, []string{"S2"}, c.Meters[0].LeftOut)
	assert.Contains(t, strings.Join(c.Warnings, "\n"), "meter A is judged without the reference of sample S2")
}

// The interval covers as claimed with one reference of unknown uncertainty
// among stated ones, where that one is as good as they are, and where it is
// much worse.
func TestIntervalsCoverWithOneUnknownReference(t *testing.T) {
	rng := rand.New(rand.NewPCG(14, 6))
	trials := trialsOf(1500)
	for _, c := range []struct {
		name  string
		worse float64 // further relative standard deviation of the unknown one
		noise bool
	}{
		{"as good, readings stated", 0, true},
		{"as good", 0, false},
		{"worse, readings stated", 0.03, true},
		{"worse", 0.03, false},
	} {
		b := bench{refs: []float64{400, 800, 1000, 1413, 2800}, bottle: 0.006, noise: 0.004, gain: 0.03, giveRefs: true, giveU: true, giveNoise: c.noise}
		covered := 0
		for range trials {
			rows := b.rows(rng)
			off := 1 + c.worse*rng.NormFloat64()
			for i := range rows {
				if rows[i].Sample == "S4" {
					rows[i].Value *= off
				}
			}
			forget(rows, "S4")
			s := newSet(t, rows)
			fit, err := s.errorLine("B", s.cellsOf("B"), fivePercent).solve()
			require.NoError(t, err)
			k := uncert.CoverageFactor(level, fit.dof)
			for i := range fit.mean {
				if math.Abs(fit.mean[i]-0.03/0.05) <= k*fit.u[i] {
					covered++
				}
			}
		}
		got := float64(covered) / float64(2*trials)
		t.Log(c.name, got)
		assert.GreaterOrEqual(t, got, level-band(trials)-0.015, c.name)
	}
}
