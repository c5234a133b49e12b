package drift

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// stable is a growing least-squares fit of a meter that does not drift: a
// level for each stretch between events (and a second component, where there
// is one), and the offsets of the sources. A column of the design matters from
// the first check that it moves to the last, and is worked on only there.
type stable struct {
	t      *timeline
	stated bool
	rows   [][]loading // of the design, by check
	used   []usage     // by column
	m      []float64
	p      []float64 // covariance, row by row
	active []int     // columns that matter at the check under way
	row    []float64 // of the check under way, by column
	ph     []float64
	sum    float64 // of squared standardised residuals, where not stated
	n      int     // of them
}

// loading is how far a column of the design moves a check.
type loading struct {
	column int
	size   float64
}

// usage is where a column is used, and what is known of it before.
type usage struct {
	last     int
	variance float64
	begun    bool
}

// diffuse is the standard deviation, in scales, of what is not known at all.
const diffuse = 1e4

func newStable(t *timeline, stated bool) *stable {
	f := &stable{t: t, stated: stated}
	columns := map[string]int{}
	for i := range t.checks {
		c := &t.checks[i]
		var row []loading
		put := func(name string, size, variance float64) {
			k, ok := columns[name]
			if !ok {
				k = len(f.used)
				columns[name] = k
				f.used = append(f.used, usage{variance: variance})
			}
			f.used[k].last = i
			row = append(row, loading{k, size})
		}
		group := fmt.Sprint("level ", c.segment)
		for _, l := range c.loads {
			if stated {
				put(fmt.Sprint("offset ", l.offset), l.size, 1)
			} else {
				// Nobody can say how far apart two sources are next to the scatter,
				// so each has a level of its own.
				group += fmt.Sprint(" ", l.offset)
			}
		}
		put(group, 1, diffuse*diffuse)
		if t.base > second {
			put(group+" second", c.h, diffuse*diffuse)
		}
		f.rows = append(f.rows, row)
	}
	d := len(f.used)
	f.m, f.p, f.row, f.ph = make([]float64, d), make([]float64, d*d), make([]float64, d), make([]float64, d)
	return f
}

// begin lets go of the columns that no later check depends on, takes in those
// that this one is the first to depend on, and sets the row.
func (f *stable) begin(i int) {
	f.active = slices.DeleteFunc(f.active, func(k int) bool { return f.used[k].last < i })
	d := len(f.used)
	for _, l := range f.rows[i] {
		if u := &f.used[l.column]; !u.begun {
			u.begun = true
			f.active = append(f.active, l.column)
			f.p[l.column*d+l.column] = u.variance
		}
	}
	for _, k := range f.active {
		f.row[k] = 0
	}
	for _, l := range f.rows[i] {
		f.row[l.column] = l.size
	}
}

// add takes a check in and returns its Q.
func (f *stable) add(i int) float64 {
	f.begin(i)
	c, d := &f.t.checks[i], len(f.used)
	variance := 1.0
	if f.stated {
		variance = math.Max(c.known, leastNoise*leastNoise)
	}
	nu, s := c.err, variance
	for _, j := range f.active {
		f.ph[j] = 0
		for _, k := range f.active {
			f.ph[j] += f.p[j*d+k] * f.row[k]
		}
		nu -= f.row[j] * f.m[j]
		s += f.row[j] * f.ph[j]
	}
	for _, j := range f.active {
		f.m[j] += f.ph[j] * nu / s
		for _, k := range f.active {
			f.p[j*d+k] -= f.ph[j] * f.ph[k] / s
		}
	}
	switch w := nu / math.Sqrt(s); {
	case s-variance > diffuse: // not foretold: something begins here
		return math.NaN()
	case f.stated:
		return w
	default:
		return f.student(w)
	}
}

// student turns a residual, in standard deviations of one check, into a
// standard normal value by way of the scatter of those before it; NaN for the
// first, which has none.
func (f *stable) student(w float64) float64 {
	q := math.NaN()
	if f.n > 0 {
		ratio := w
		if f.sum > 0 {
			ratio = w / math.Sqrt(f.sum/float64(f.n))
		} else if w != 0 {
			ratio = math.Copysign(math.Inf(1), w)
		}
		tail := distuv.StudentsT{Nu: float64(f.n), Sigma: 1}.CDF(-math.Abs(ratio))
		q = math.Copysign(-distuv.UnitNormal.Quantile(math.Max(tail, 1e-300)), w)
	}
	f.sum += w * w
	f.n++
	return q
}
