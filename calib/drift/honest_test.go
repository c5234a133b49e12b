package drift

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// each draws n lives with seeds of their own and hands them to work, on all
// processors; what work returns comes back in order.
func each[L, T any](n int, seed uint64, draw func(*rand.Rand) L, work func(rng *rand.Rand, l L) T) []T {
	out := make([]T, n)
	next := make(chan int)
	var wait sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		wait.Add(1)
		go func() {
			defer wait.Done()
			for i := range next {
				rng := rand.New(rand.NewPCG(seed, uint64(i)))
				out[i] = work(rng, draw(rng))
			}
		}()
	}
	for i := range n {
		next <- i
	}
	close(next)
	wait.Wait()
	return out
}

// beliefs is the part of Run that the simulations need.
func beliefs(l life) *forecast {
	t, err := newTimeline(l.entries, l.o)
	if err != nil {
		panic(err)
	}
	return newForecast(newBelief(t, infer(t, branchesKept)), l.o)
}

// soak is set for the long simulations.
func soak() bool { return os.Getenv("BRINEMARK_SOAK") != "" }

// size is how many histories are drawn; fewer with -short.
func size(usual, long int) int {
	switch {
	case soak():
		return long
	case testing.Short():
		return usual / 3
	}
	return usual
}

// slack is three standard errors of a share p seen in n histories, on top of
// what the aim allows.
func slack(p float64, n int) float64 { return 3 * math.Sqrt(p*(1-p)/float64(n)) }

// wholeAndParts are the populations of the coverage test: the whole one, which the aim
// is set for, and parts of it, which show where the whole comes from.
func wholeAndParts() []population {
	all := everything()
	return []population{
		all,
		all.but("2 or 3 checks", func(p *population) { p.shares = [3]float64{1, 0, 0} }),
		all.but("4 to 8 checks", func(p *population) { p.shares = [3]float64{0, 1, 0} }),
		all.but("9 to 40 checks", func(p *population) { p.shares = [3]float64{0, 0, 1} }),
		all.but("u stated", func(p *population) { p.stated = 1 }),
		all.but("u not stated", func(p *population) { p.stated = 0 }),
		all.but("steady, nothing happens", func(p *population) { quiet(p); p.wander = 0 }),
		all.but("steady, one bad check", func(p *population) { quiet(p); p.wander, p.bad = 0, 1 }),
		all.but("steady, one knock", func(p *population) { quiet(p); p.wander, p.knock = 0, 1 }),
		all.but("steady, adjusted", func(p *population) { quiet(p); p.wander, p.adjusted = 0, 1 }),
		all.but("wandering", func(p *population) { p.wander = 1 }),
	}
}

// The 95 % intervals of error and rate cover the truth in 95 % of the
// histories, within 2 %, over the whole population; so does ±1.96 u. In its
// parts, over which nobody averages in life, they may be up to 7 % off.
func TestIntervalsCover(t *testing.T) {
	type held struct{ err, rate, errU, rateU float64 }
	var rows strings.Builder
	rows.WriteString("| histories | error | rate | error ± 1.96 u | rate ± 1.96 u |\n| --- | --- | --- | --- | --- |\n")
	for k, p := range wholeAndParts() {
		n := size(400, 6000)
		if k > 0 {
			n = size(0, 1500)
		}
		if n == 0 {
			break
		}
		var sum held
		for _, c := range each(n, 1, p.draw, func(_ *rand.Rand, l life) held {
			f := beliefs(l)
			after := f.after(l.o.Now)
			e, r := figure(f.errorAt(f.refs[0], after)), figure(f.rateAt(f.refs[0], after))
			return held{one(e.Low <= l.err && l.err <= e.High), one(r.Low <= l.rate && l.rate <= r.High),
				one(math.Abs(e.Value-l.err) <= normal95*e.U), one(math.Abs(r.Value-l.rate) <= normal95*r.U)}
		}) {
			sum.err, sum.rate, sum.errU, sum.rateU = sum.err+c.err, sum.rate+c.rate, sum.errU+c.errU, sum.rateU+c.rateU
		}
		N := float64(n)
		fmt.Fprintf(&rows, "| %s | %.1f %% | %.1f %% | %.1f %% | %.1f %% |\n", p.name, 100*sum.err/N, 100*sum.rate/N, 100*sum.errU/N, 100*sum.rateU/N)
		aim := 0.02
		if k > 0 {
			aim = 0.07
		}
		if !soak() {
			aim += slack(0.95, n)
		}
		for name, x := range map[string]float64{"error": sum.err, "rate": sum.rate, "error by u": sum.errU, "rate by u": sum.rateU} {
			assert.InDelta(t, 0.95, x/N, aim, "%s, %s", p.name, name)
		}
	}
	golden(t, "drift_coverage.md", rows.String())
}

// dating is what a due day turned out to be worth.
type dating struct {
	dated         bool
	outside, used float64
	inside        bool
}

// dateOf asks for a due day and looks what the meter does on it.
func dateOf(rng *rand.Rand, l life) dating {
	f := beliefs(l)
	days, ok := f.due(l.o.Now)
	d := dating{dated: ok && days > 0, inside: math.Abs(l.err) < l.tolerance, used: math.NaN()}
	if !ok {
		days = Horizon
	}
	if d.dated {
		const futures = 20
		for range futures {
			if math.Abs(l.later(rng, float64(days)/daysPerMonth)) > l.tolerance {
				d.outside += 1.0 / futures
			}
		}
	}
	if l.rate != 0 && d.inside {
		if remain := (math.Copysign(l.tolerance, l.rate) - l.err) / l.rate * daysPerMonth; remain < Horizon {
			d.used = float64(days) / remain
		}
	}
	return d
}

// dates are the populations of the due days: meters that are still within
// tolerance as a rule, of which something can be told.
func dates() []population {
	base := everything().but("", func(p *population) {
		quiet(p)
		p.most, p.limit, p.checks, p.shares, p.own = 1e3, 0.7, [3][2]int{{2, 3}, {4, 8}, {12, 40}}, [3]float64{0, 0, 1}, [2]float64{0.03, 0.1}
	})
	few := func(p *population) { p.shares = [3]float64{0.5, 0.5, 0} }
	rough := func(p *population) { p.own = [2]float64{0.1, 0.2} }
	never := func(p *population) { p.limit, p.most = 0, 0.9 }
	var out []population
	for _, with := range []struct {
		name   string
		change func(*population)
	}{{"", func(*population) {}}, {", 2 to 8 checks", few}, {", rough references", rough}, {", never adjusted", never}} {
		out = append(out, base.but("steady"+with.name, func(p *population) { with.change(p); p.wander = 0 }),
			base.but("wandering"+with.name, func(p *population) { with.change(p); p.wander = 1 }))
	}
	return out
}

// On the due day the share outside tolerance is at most the risk of 5 % and
// two points; for steady drifts nevertheless at least 45 % of the time that
// truly remains is used, in the median, where there are checks enough and good
// references.
func TestDueDatesHoldAndAreUsed(t *testing.T) {
	var rows strings.Builder
	rows.WriteString("| histories | dates | outside on the day | time used (median) |\n| --- | --- | --- | --- |\n")
	for k, p := range dates() {
		n := size(300, 4000)
		if k > 1 {
			n = size(0, 1500)
		}
		if n == 0 {
			break
		}
		dated, outside := 0.0, 0.0
		var used []float64
		for _, d := range each(n, 2, p.draw, dateOf) {
			if d.dated {
				dated++
				outside += d.outside
			}
			if !math.IsNaN(d.used) {
				used = append(used, d.used)
			}
		}
		fmt.Fprintf(&rows, "| %s | %.0f | %.1f %% | %.0f %% |\n", p.name, dated, 100*outside/dated, 100*median(used))
		require.Greater(t, dated, 0.5*float64(n), p.name)
		aim := DefaultRisk + 0.02
		if !soak() {
			aim += slack(aim, int(dated))
		}
		assert.LessOrEqual(t, outside/dated, aim, p.name)
		if k == 0 {
			assert.GreaterOrEqual(t, median(used), aimUsed(len(used)), p.name)
		}
	}
	golden(t, "drift_dates.md", rows.String())
}

// aimUsed is 45 %, less three standard errors of a median in a short run, with
// the density of the shares about 1 there.
func aimUsed(n int) float64 {
	if soak() {
		return 0.45
	}
	return 0.45 - 3*0.5/math.Sqrt(float64(n))
}

// stables are the populations of the false alarms: no drift, no walk.
func stables() []population {
	base := everything().but("stable", func(p *population) { quiet(p); p.wander, p.nil_ = 0, 1 })
	return []population{
		base,
		base.but("stable, 9 to 40 checks, u stated", func(p *population) { p.stated, p.shares = 1, [3]float64{0, 0, 1} }),
		base.but("stable, 9 to 40 checks, u not stated", func(p *population) { p.stated, p.shares = 0, [3]float64{0, 0, 1} }),
		base.but("stable, one bad check", func(p *population) { p.bad = 1 }),
		base.but("drifting 0.1 to 0.3 tolerances a month, 9 to 40 checks", func(p *population) {
			p.nil_, p.rate, p.most, p.shares = 0, [2]float64{0.1, 0.3}, 1e3, [3]float64{0, 0, 1}
		}),
	}
}

// A stable meter raises an alarm in at most one of a hundred histories, of
// which the average lasts a year; one bad check raises no alarm of drift. A
// meter that drifts does raise one.
func TestFalseAlarms(t *testing.T) {
	var rows strings.Builder
	rows.WriteString("| histories | years each | with an alarm of drift | with a check called bad |\n| --- | --- | --- | --- |\n")
	for k, p := range stables() {
		n := size(150, 2000)
		if k > 0 {
			n = size(60, 600)
		}
		drifting, bad, years := 0.0, 0.0, 0.0
		for _, r := range each(n, 3, p.draw, func(_ *rand.Rand, l life) *Result {
			r, err := Run(l.entries, l.o)
			if err != nil {
				panic(err)
			}
			return &Result{Alarms: r.Alarms, Now: r.Now, Last: r.Checks[0].Time}
		}) {
			years += r.Now.Sub(r.Last).Hours() / 24 / 365.25
			if r.hasAlarm(AlarmEWMA, AlarmCUSUM, AlarmTrend, AlarmStep) {
				drifting++
			}
			if r.hasAlarm(AlarmWrong) {
				bad++
			}
		}
		N := float64(n)
		fmt.Fprintf(&rows, "| %s | %.1f | %.1f %% | %.1f %% |\n", p.name, years/N, 100*drifting/N, 100*bad/N)
		aim := 0.01
		if !soak() {
			aim += slack(0.01, n)
		}
		switch k {
		case 4:
			assert.Greater(t, drifting/N, 0.8, p.name)
		case 3:
			assert.LessOrEqual(t, drifting/N, aim, p.name)
		default:
			assert.LessOrEqual(t, (drifting+bad)/N, aim, p.name)
		}
	}
	golden(t, "drift_alarms.md", rows.String())
}

var update = flag.Bool("update", false, "write the golden files anew")

// golden keeps the table of a long simulation for the contributor's guide. A
// short run does not compare it: its figures are coarser.
func golden(t *testing.T, name, got string) {
	t.Helper()
	if !soak() {
		return
	}
	path := filepath.Join("..", "..", "testdata", "golden", name)
	if *update {
		require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
		return
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, string(want), got, "run with BRINEMARK_SOAK=1 and -update, and read the difference")
}

// hasAlarm tells whether there is one of the kinds.
func (r *Result) hasAlarm(kinds ...AlarmKind) bool {
	return slices.ContainsFunc(r.Alarms, func(a Alarm) bool { return slices.Contains(kinds, a.Kind) })
}
