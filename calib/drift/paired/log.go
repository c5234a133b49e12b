package paired

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"github.com/brinemark/brinemark/calib/drift"
	"github.com/brinemark/brinemark/calib/readings"
)

// Spec says which columns of a log are compared.
type Spec struct {
	A, B       string // B stands in for the reference
	TimeColumn string // "" is "time"
	// Relative differences are fractions of B; others are in the log's unit.
	Relative bool
	Zone     *time.Location // of times without one, and of days; nil is UTC
}

// Day is what is left of one day.
type Day struct {
	Start      time.Time // its beginning
	N          int       // rows with both probes
	B          float64   // median of B
	Difference float64   // median of A - B, as a fraction of B where relative
	Spread     float64   // robust standard deviation of the rows' differences (1.4826 times the median deviation)
}

// Log is a log thinned to days, in order.
type Log struct {
	Name     string
	Spec     Spec
	Days     []Day
	Rows     int // with a time
	Skipped  int // of those, without two believable numbers
	Warnings []string
}

// Causes of errors, beside those of package readings.
var (
	ErrSameColumn = errors.New("one column twice")
	ErrNoPairs    = errors.New("no row has both")
)

// most is how many rows of a day are kept. Where a day has more, every
// second, fourth, eighth ... is.
const most = 4096

// bucket gathers the rows of one day.
type bucket struct {
	n      int
	stride int
	b, d   []float64
}

func (k *bucket) add(b, d float64) {
	k.n++
	if k.stride == 0 {
		k.stride = 1
	}
	if k.n%k.stride != 0 {
		return
	}
	if len(k.d) == most {
		for i := range most / 2 {
			k.b[i], k.d[i] = k.b[2*i+1], k.d[2*i+1]
		}
		k.b, k.d = k.b[:most/2], k.d[:most/2]
		k.stride *= 2
		if k.n%k.stride != 0 {
			return
		}
	}
	k.b, k.d = append(k.b, b), append(k.d, d)
}

// day sums a bucket up. Its slices are reordered.
func (k *bucket) day(start time.Time) Day {
	d := Day{Start: start, N: k.n, B: median(k.b), Difference: median(k.d)}
	for i := range k.d {
		k.d[i] = math.Abs(k.d[i] - d.Difference)
	}
	d.Spread = 1.4826 * median(k.d)
	return d
}

func median(x []float64) float64 {
	slices.Sort(x)
	n := len(x)
	return x[(n-1)/2]/2 + x[n/2]/2
}

// farApart is how many times one conductivity may be the other before the row
// tells of no drift: a probe in the air shows next to nothing. Common
// practice, no source.
const farApart = 5.0

// difference is that of one row; ok is false for a row that tells nothing: a
// probe in the air, of which a fraction makes no sense, or no number.
func (s Spec) difference(a, b float64) (d float64, ok bool) {
	if s.Relative {
		d = (a - b) / b
		ok = a > 0 && b > 0 && a < farApart*b && b < farApart*a
	} else {
		d, ok = a-b, true
	}
	return d, ok && !math.IsNaN(d) && !math.IsInf(d, 0)
}

// nearlyDry is the part of an ordinary day's conductivity below which a day is
// taken for one without liquid. Common practice, no source.
const nearlyDry = 0.05

// setDryAside takes out the days on which both probes hung in the air: of
// conductivity, those that show next to nothing of what an ordinary day does.
func (l *Log) setDryAside() {
	if !l.Spec.Relative {
		return
	}
	levels := make([]float64, len(l.Days))
	for i, d := range l.Days {
		levels[i] = d.B
	}
	ordinary := median(levels)
	var wet, dry []Day
	for _, d := range l.Days {
		if d.B < nearlyDry*ordinary {
			dry = append(dry, d)
		} else {
			wet = append(wet, d)
		}
	}
	if len(dry) > 0 {
		l.warn("%d of %d days, the first on %s, show less than %.0f %% of the conductivity of an ordinary day; they were taken for days without liquid and left out",
			len(dry), len(l.Days), dry[0].Start.Format(time.DateOnly), 100*nearlyDry)
	}
	l.Days = wet
}

// Entries are the days as checks of A by B, at noon.
func (l *Log) Entries() []drift.Entry {
	var out []drift.Entry
	for _, d := range l.Days {
		ref := d.B
		reading := ref + d.Difference
		if l.Spec.Relative {
			reading = ref * (1 + d.Difference)
		}
		y, m, day := d.Start.Date()
		out = append(out, drift.Entry{
			Name: "the day " + d.Start.Format(time.DateOnly),
			Time: time.Date(y, m, day, 12, 0, 0, 0, d.Start.Location()), Ref: &ref, Reading: &reading,
		})
	}
	return out
}

// fault points at a place in the log.
func fault(name string, row int, column, found, want string, cause error) error {
	return &readings.Error{File: name, Row: row, Column: column, Found: found, Want: want, Err: cause}
}

// warn adds to the warnings.
func (l *Log) warn(format string, args ...any) {
	l.Warnings = append(l.Warnings, fmt.Sprintf(format, args...))
}
