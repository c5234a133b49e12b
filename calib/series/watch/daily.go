package watch

import (
	"math"
	"math/rand/v2"
	"time"
)

// MostSample is how many believed values of a day are kept of a column: up to so
// many, one in 10.6 seconds, the median is exact. Beyond, one value is drawn of each
// stretch of equally many rows: the rank of the median is then off by less than 0.1 % of the
// day's rows where values follow one another smoothly, and by a standard deviation of
// 0.8 % at most where they have no order at all.
const MostSample = 8192

// Day is what one column was in one day.
type Day struct {
	Date    time.Time // the day in the zone, given as midnight in UTC: a day need not have one
	Column  int
	Rows    int64 // with a time in this day, of whatever kind
	Flagged int64 // that must not be believed
	// Least, Median and Most are of the corrected values that can be believed; NaN
	// where there are none.
	Least, Median, Most float64
	// Thinned tells that the median is of a sample.
	Thinned bool
	// Again tells that the day was told before: rows of other days stood in
	// between.
	Again bool
}

// Daily sums a log up by days. Days without rows are left out. Two days are kept
// open at a time, so that a clock set back over midnight does no harm; a day
// that comes back later is told again, for the rows that came then. Its memory does
// not grow with the rows, only by a few bytes a day.
type Daily struct {
	zone    *time.Location
	columns int
	found   func(Day)
	open    [2]day // the one used last stands first
	told    map[int64]struct{}
	random  *rand.PCG
}

// day is a day that is open.
type day struct {
	used     bool
	number   int64 // days since 1970-01-01
	from, to int64 // a stretch of time that surely lies in it
	columns  []dayOfColumn
}

type dayOfColumn struct {
	rows, flagged int64
	least, most   float64
	sample        thinned
}

// NewDaily returns one for so many columns that tells found each day of each
// column that is over; a nil zone is UTC.
func NewDaily(columns int, zone *time.Location, found func(Day)) *Daily {
	if zone == nil {
		zone = time.UTC
	}
	d := &Daily{zone: zone, columns: columns, found: found, told: map[int64]struct{}{}, random: rand.NewPCG(1, 8)}
	for i := range d.open {
		d.open[i].columns = make([]dayOfColumn, columns)
	}
	return d
}

// Row takes the next row: its time in Unix nanoseconds, and by column the
// corrected value and whether it can be believed.
func (d *Daily) Row(t int64, column int, value float64, believed bool) {
	day := d.find(t)
	c := &day.columns[column]
	c.rows++
	if !believed || math.IsNaN(value) {
		c.flagged++
		return
	}
	c.least, c.most = min(c.least, value), max(c.most, value)
	c.sample.add(value, d.random)
}

// find returns the day of a time, open.
func (d *Daily) find(t int64) *day {
	if first := &d.open[0]; first.used && t >= first.from && t < first.to {
		return first
	}
	year, month, date := time.Unix(0, t).In(d.zone).Date()
	number := time.Date(year, month, date, 0, 0, 0, 0, time.UTC).Unix() / 86400
	if !(d.open[0].used && d.open[0].number == number) {
		if !(d.open[1].used && d.open[1].number == number) {
			// The one not used for longest makes room.
			d.close(&d.open[1])
			d.open[1].begin(number)
		}
		d.open[0], d.open[1] = d.open[1], d.open[0]
	}
	day := &d.open[0]
	// Where clocks are off by quarters of an hour, as in every zone of today, the rest of
	// the quarter lies in the same day.
	const quarter = int64(15 * time.Minute)
	day.from, day.to = t, t+1
	if _, off := time.Unix(0, t).In(d.zone).Zone(); off%int(quarter/int64(time.Second)) == 0 {
		day.to = t - (t%quarter+quarter)%quarter + quarter
	}
	return day
}

func (d *day) begin(number int64) {
	d.used, d.number = true, number
	for i := range d.columns {
		c := &d.columns[i]
		*c = dayOfColumn{least: math.Inf(1), most: math.Inf(-1), sample: c.sample}
		c.sample.clear()
	}
}

// close tells a day that is over.
func (d *Daily) close(day *day) {
	if !day.used {
		return
	}
	_, again := d.told[day.number]
	d.told[day.number] = struct{}{}
	for i := range day.columns {
		c := &day.columns[i]
		if c.rows == 0 {
			continue
		}
		out := Day{Date: time.Unix(day.number*86400, 0).UTC(), Column: i, Rows: c.rows, Flagged: c.flagged, Again: again, Thinned: c.sample.stride > 1,
			Least: math.NaN(), Median: math.NaN(), Most: math.NaN()}
		if c.rows > c.flagged {
			out.Least, out.Median, out.Most = c.least, c.sample.median(), c.most
		}
		d.found(out)
	}
	day.used = false
}

// Finish tells the days that are still open.
func (d *Daily) Finish() {
	first, second := &d.open[1], &d.open[0]
	if first.used && second.used && first.number > second.number {
		first, second = second, first
	}
	d.close(first)
	d.close(second)
}
