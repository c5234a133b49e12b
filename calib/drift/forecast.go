package drift

import (
	"math"
	"slices"
	"time"
)

// forecast answers questions about the time after the last entry.
type forecast struct {
	*belief
	o    Options
	refs []float64 // the ends of the references in use; one where the error is the same at both
}

func newForecast(b *belief, o Options) *forecast {
	f := &forecast{belief: b, o: o}
	low, high := b.line.refRange()
	f.refs = []float64{low}
	if high != low {
		f.refs = append(f.refs, high)
	}
	return f
}

// refRange is the lowest and the highest reference in use. Where zero and gain
// are told apart, those are in use that two checks have reached, at each end,
// or a check of the last visit: what one check said of a reference long ago
// says little of it now.
func (t *timeline) refRange() (low, high float64) {
	var refs []float64
	low, high = math.Inf(1), math.Inf(-1)
	for i := range t.checks {
		refs = append(refs, t.checks[i].ref)
		if t.base == second || !t.logged && t.checks[len(t.checks)-1].time.Sub(t.checks[i].time) <= visit {
			low, high = math.Min(low, t.checks[i].ref), math.Max(high, t.checks[i].ref)
		}
	}
	if n := len(refs); t.base > second && n > 2 {
		slices.Sort(refs)
		low, high = math.Min(low, refs[1]), math.Max(high, refs[n-2])
	}
	return low, high
}

// visit is how long the checks of one visit to the bench may take.
const visit = 24 * time.Hour

// after is the number of months from the last entry to a moment.
func (f *forecast) after(at time.Time) float64 { return math.Max(0, months(f.line.last, at)) }

// outside is the probability that the error is outside tolerance at one of the
// references in use.
func (f *forecast) outside(after float64) float64 {
	if len(f.refs) == 1 || f.line.base == second {
		worst := 0.0
		for _, ref := range f.refs {
			worst = math.Max(worst, f.outsideAt(ref, after))
		}
		return worst
	}
	inside := 0.0
	h1, h2 := f.line.loading(f.refs[0]), f.line.loading(f.refs[1])
	t1, t2 := f.o.limit(f.refs[0])/f.line.scale, f.o.limit(f.refs[1])/f.line.scale
	factors := f.weights(after)
	for i := range f.parts {
		inside += f.parts[i].weightAt(factors) * f.parts[i].inside(h1, h2, t1, t2, after)
	}
	return math.Max(0, 1-inside)
}

func (f *forecast) outsideAt(ref, after float64) float64 {
	h, limit, sum := f.line.loading(ref), f.o.limit(ref)/f.line.scale, 0.0
	factors := f.weights(after)
	for i := range f.parts {
		mean, variance := f.parts[i].at(h, after)
		sd := math.Sqrt(variance)
		if sd == 0 {
			if math.Abs(mean) > limit {
				sum += f.parts[i].weightAt(factors)
			}
			continue
		}
		sum += f.parts[i].weightAt(factors) * (normalCDF((-limit-mean)/sd) + normalCDF((mean-limit)/sd))
	}
	return sum
}

// inside is the probability that the errors at two loadings are within their
// limits, both.
func (g *part) inside(h1, h2, t1, t2, after float64) float64 {
	m1, v1 := g.at(h1, after)
	m2, v2 := g.at(h2, after)
	s1, s2 := math.Sqrt(v1), math.Sqrt(v2)
	if g.hyper.second == 0 || s1 == 0 || s2 == 0 {
		t := math.Min(t1, t2) // one error for both
		if s1 == 0 {
			if math.Abs(m1) > t {
				return 0
			}
			return 1
		}
		return normalCDF((t-m1)/s1) - normalCDF((-t-m1)/s1)
	}
	rho := math.Max(-1, math.Min(1, g.covariance(h1, h2, after)/(s1*s2)))
	rest := s2 * math.Sqrt(math.Max(1e-12, 1-rho*rho))
	low, high := math.Max(-7, (-t1-m1)/s1), math.Min(7, (t1-m1)/s1)
	if low >= high {
		return 0
	}
	sum, half := 0.0, (high-low)/2
	for k, x := range legendreX {
		for _, z := range [2]float64{low + half*(1-x), low + half*(1+x)} {
			mean := m2 + rho*s2*z
			sum += legendreW[k] * math.Exp(-z*z/2) * (normalCDF((t2-mean)/rest) - normalCDF((-t2-mean)/rest))
		}
	}
	return sum * half / math.Sqrt(2*math.Pi)
}

func (g *part) covariance(h1, h2, after float64) float64 {
	a, b := [4]float64{1, after, h1, h1 * after}, [4]float64{1, after, h2, h2 * after}
	sum := 0.0
	for i := range 4 {
		for j := range 4 {
			sum += a[i] * b[j] * g.p[i][j]
		}
	}
	q, w := g.hyper.walk, g.hyper.wander
	return sum + g.hyper.product([2]float64{1, h1}, [2]float64{1, h2})*(q*q*after+w*w*after*after*after/3)
}

// Gauss-Legendre nodes and weights of 20 points, the positive half (M.
// Abramowitz, I. Stegun, Handbook of Mathematical Functions, table 25.4).
var (
	legendreX = [10]float64{0.076526521133497, 0.227785851141645, 0.373706088715420, 0.510867001950827, 0.636053680726515,
		0.746331906460151, 0.839116971822219, 0.912234428251326, 0.963971927277914, 0.993128599185095}
	legendreW = [10]float64{0.152753387130726, 0.149172986472604, 0.142096109318382, 0.131688638449177, 0.118194531961518,
		0.101930119817240, 0.083276741576705, 0.062672048334109, 0.040601429800387, 0.017614007139152}
)

// Horizon is how far ahead a due date is looked for: five years.
const Horizon = 1826 // days

// due is the number of days from today to the first day on which the risk
// exceeds the one accepted; ok is false where there is none within Horizon.
// A day counts with its end; today counts as it is now.
func (f *forecast) due(now time.Time) (days int, ok bool) {
	if f.outside(f.after(now)) > f.o.Risk {
		return 0, true
	}
	today := midnight(now)
	risky := func(day int) bool { return f.outside(f.after(today.AddDate(0, 0, day+1))) > f.o.Risk }
	last := 0
	for day := 1; ; day += max(1, day/32) {
		day = min(day, Horizon)
		if risky(day) {
			for d := last + 1; d < day; d++ {
				if risky(d) {
					return d, true
				}
			}
			return day, true
		}
		if day == Horizon {
			return 0, false
		}
		last = day
	}
}

// midnight is the beginning of a day in the zone of the moment.
func midnight(t time.Time) time.Time {
	y, m, d := t.Date()
	return time.Date(y, m, d, 0, 0, 0, 0, t.Location())
}
