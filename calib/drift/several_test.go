package drift

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// judged is what became of one meter read in several references.
type judged struct{ err, errU, rateU, missed, accused, slips, bad float64 }

func judgeSeveral(_ *rand.Rand, l severalLife) judged {
	f := beliefs(l.life)
	after := f.after(l.o.Now)
	ref := f.worst(after)
	e, r := f.errorNow(ref, after), figure(f.rateAt(ref, after))
	truth, within := l.errorAt(ref, 0), 1-f.outside(after)
	rate := l.errorAt(ref, 1) - truth
	out := judged{
		err: one(e.Low <= truth && truth <= e.High), errU: one(math.Abs(e.Value-truth) <= normal95*e.U),
		rateU:  one(math.Abs(r.Value-rate) <= normal95*r.U),
		missed: one(within >= 0.95 && l.outside(0, 0)), accused: one(within <= 0.05 && !l.outside(0, 0)),
	}
	isWrong, _ := f.happened()
	for i, p := range isWrong {
		if p > wrongAlarm {
			out.bad = 1
			if i != l.wrong {
				out.slips = 1
			}
		}
	}
	return out
}

// The error at the worst reference is covered as promised where zero and gain
// go ways of their own, and a weak slope or a zero error is no bad check.
func TestSeveralReferencesCover(t *testing.T) {
	var rows strings.Builder
	rows.WriteString("| histories | error | error ± 1.96 u | rate ± 1.96 u | pass, yet outside | fail, yet within | a right check called bad |\n| --- | --- | --- | --- | --- | --- | --- |\n")
	for k, p := range manySeveral() {
		n := size(90, 1000)
		if k > 0 {
			n = size(30, 300)
		}
		if k > 4 && !soak() {
			break
		}
		var sum judged
		for _, x := range each(n, 21, p.draw, judgeSeveral) {
			sum.err, sum.errU, sum.rateU = sum.err+x.err, sum.errU+x.errU, sum.rateU+x.rateU
			sum.missed, sum.accused, sum.slips = sum.missed+x.missed, sum.accused+x.accused, sum.slips+x.slips
		}
		N := float64(n)
		fmt.Fprintf(&rows, "| %s | %.1f %% | %.1f %% | %.1f %% | %.1f %% | %.1f %% | %.1f %% |\n", p.name,
			100*sum.err/N, 100*sum.errU/N, 100*sum.rateU/N, 100*sum.missed/N, 100*sum.accused/N, 100*sum.slips/N)
		aim, slip := 0.02, 0.01
		if k > 0 {
			aim = 0.07
		}
		if !soak() {
			aim, slip = aim+slack(0.95, n), slip+slack(0.01, n)
		}
		assert.InDelta(t, 0.95, sum.err/N, aim, p.name)
		assert.InDelta(t, 0.95, sum.errU/N, aim, p.name)
		assert.InDelta(t, 0.95, sum.rateU/N, aim, p.name)
		for name, share := range map[string]float64{"pass, yet outside": sum.missed, "fail, yet within": sum.accused, "a right check called bad": sum.slips} {
			assert.LessOrEqual(t, share/N, slip, "%s: %s", p.name, name)
		}
	}
	golden(t, "drift_several.md", rows.String())
}

// The due day keeps its promise at every reference in use.
func TestSeveralReferencesDue(t *testing.T) {
	var rows strings.Builder
	rows.WriteString("| histories | dates | outside on the day |\n| --- | --- | --- |\n")
	for k, p := range datedSeveral() {
		n := size(45, 300)
		dated, outside := 0.0, 0.0
		for _, d := range each(n, 22, p.draw, func(rng *rand.Rand, l severalLife) (d dating) {
			days, ok := beliefs(l.life).due(l.o.Now)
			d.dated = ok && days > 0
			const futures = 20
			for range futures {
				after := float64(days) / daysPerMonth
				d.outside += one(d.dated && l.outside(after, l.walk*math.Sqrt(after)*rng.NormFloat64())) / futures
			}
			return d
		}) {
			dated, outside = dated+one(d.dated), outside+d.outside
		}
		fmt.Fprintf(&rows, "| %s | %.0f | %.1f %% |\n", p.name, dated, 100*outside/dated)
		aim := DefaultRisk + 0.02
		if !soak() {
			aim += slack(aim, int(dated))
		}
		require.Greater(t, dated, 0.3*float64(n), "%d: %s", k, p.name)
		assert.LessOrEqual(t, outside/dated, aim, p.name)
	}
	golden(t, "drift_several_dates.md", rows.String())
}

// A stable meter raises no more alarms in several references than in one; one
// whose slope weakens does raise one, also where the errors at both ends cancel.
func TestSeveralReferencesAlarms(t *testing.T) {
	var rows strings.Builder
	rows.WriteString("| histories | with an alarm of drift | with a cause named | with a check called bad |\n| --- | --- | --- | --- |\n")
	for k, p := range alarmedSeveral() {
		n := size(36, 500)
		drifting, cause, bad := 0.0, 0.0, 0.0
		for _, r := range each(n, 23, p.draw, func(_ *rand.Rand, l severalLife) *Result {
			r, err := Run(l.entries, l.o)
			if err != nil {
				panic(err)
			}
			return &Result{Alarms: r.Alarms}
		}) {
			drifting += one(r.hasAlarm(AlarmEWMA, AlarmCUSUM, AlarmTrend, AlarmStep))
			cause += one(r.hasAlarm(AlarmWeakSlope, AlarmZero, AlarmGain))
			bad += one(r.hasAlarm(AlarmWrong))
		}
		N := float64(n)
		fmt.Fprintf(&rows, "| %s | %.1f %% | %.1f %% | %.1f %% |\n", p.name, 100*drifting/N, 100*cause/N, 100*bad/N)
		aim := 0.01
		if !soak() {
			aim += slack(0.01, n)
		}
		if k == 0 {
			assert.LessOrEqual(t, (drifting+bad)/N, aim, p.name)
			assert.LessOrEqual(t, cause/N, aim, p.name)
			continue
		}
		assert.Greater(t, cause/N, 0.8, p.name)
		assert.LessOrEqual(t, bad/N, aim, p.name)
	}
	golden(t, "drift_several_alarms.md", rows.String())
}

// About the mean of a mixture that leans to one side, ±1.96 U covers 95 % too;
// of a normal distribution it is what it always was.
func TestWidthAboutTheMean(t *testing.T) {
	normal := mixture{{1, 3, 2}}
	assert.InEpsilon(t, 2*normal95, normal.about(3, Level), 1e-5)
	leaning := mixture{{0.8, 0, 1}, {0.2, 10, 1}}
	mean, _ := leaning.moments()
	half := leaning.about(mean, Level)
	assert.InDelta(t, Level, leaning.below(mean+half)-leaning.below(mean-half), 1e-5)
	assert.Greater(t, half/normal95, 1.2*figure(leaning).U)
	assert.Zero(t, mixture{{1, 3, 0}}.about(3, Level))
}
