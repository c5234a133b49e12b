// Package cases holds meters, readings and what series.Corrector makes of them,
// for the tests that run the same correction inside engines of SQL. It is a
// package of its own since one of these tests lives in another module.
package cases

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"github.com/brinemark/brinemark/calib/series"
	"github.com/brinemark/brinemark/calib/tempcomp"
	"github.com/brinemark/brinemark/reports"
)

// Row is a reading in a log and what it is corrected to. Reading and TempC are
// NaN where the log has none, Value and U where there is none.
type Row struct {
	Time           time.Time
	Reading, TempC float64
	Value, U       float64
	Flag           string
}

// Case is a meter, a table of its readings, and the rows.
type Case struct {
	Name  string
	Meter reports.MeterConstants
	Log   reports.LogTable
	Rows  []Row
}

// at is a time by the days since the year began: a little after a whole
// microsecond, so that no log hits a border by chance.
func at(days float64) time.Time {
	return time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC).Add(time.Duration(days*float64(24*time.Hour)).Truncate(time.Second) + 123456*time.Microsecond + 7)
}

func line(intercept, slope, uIntercept, uSlope, correlation, low, high float64) series.Line {
	return series.Line{
		Intercept: intercept, Slope: slope, Low: low, High: high,
		VarIntercept: uIntercept * uIntercept, VarSlope: uSlope * uSlope, Cov: correlation * uIntercept * uSlope,
	}
}

func found(day float64, l series.Line) series.Calibration {
	return series.Calibration{Time: at(day), State: series.AsFound, Line: l, Name: fmt.Sprint("found on day ", day)}
}

func left(day float64, l series.Line) series.Calibration {
	return series.Calibration{Time: at(day), State: series.AsLeft, Line: l, Name: fmt.Sprint("left on day ", day)}
}

// plan is a case before its rows.
type plan struct {
	name, meter  string
	log          reports.LogTable
	calibrations []series.Calibration
	breaks       []series.Break
	growth       series.Growth
	probe        series.Probe
}

func plans() []plan {
	nan := math.NaN()
	unlimited := series.Probe{Low: nan, High: nan}
	unknown := line(-2, 1.01, nan, nan, nan, 50, 2500)
	relative := series.Growth{Rate: 0.01, Walk: 0.004, Relative: true}
	two := []series.Calibration{found(10, line(-3.5, 1.021, 2.2, 0.0031, -0.8, 84, 1413)), found(52.25, line(1.25, 1.052, 1.9, 0.0027, -0.75, 84, 2760))}
	convert := func(does, wanted tempcomp.Rule, factor, uTemp float64) series.Probe {
		p := unlimited
		p.Conversion, p.UTemp = series.Conversion{Does: does, Wanted: wanted, Factor: factor}, uTemp
		return p
	}
	linear := func(alpha, ref float64) tempcomp.Linear { return tempcomp.Linear{Alpha: alpha, RefTempC: ref} }
	list := []plan{
		{name: "two calibrations", calibrations: two, growth: relative, probe: series.Probe{Low: 0, High: 3999, URead: 0.5, StaleAfter: 90 * 24 * time.Hour}},
		{name: "adjusted twice, a gap to the end", calibrations: []series.Calibration{
			found(10, line(-3, 0.98, 2, 0.003, -0.7, 80, 1413)), found(40, line(-4, 0.95, 2, 0.003, -0.7, 80, 1413)), left(40, line(0.5, 1.001, 1, 0.002, -0.6, 80, 2000)),
			found(90, line(0.75, 1.02, 1, 0.002, -0.6, 90, 1800)), found(120, line(3, 1.11, 1, 0.002, -0.6, 90, 1800))},
			breaks: []series.Break{{Time: at(100)}, {Time: at(110)}, {Time: at(131.5)}}, growth: relative, probe: series.Probe{Low: nan, High: 1999}},
		{name: "one states no uncertainty", calibrations: []series.Calibration{two[0], found(30, unknown), two[1]}, growth: relative, probe: unlimited},
		{name: "exact", calibrations: []series.Calibration{{Time: at(10).Truncate(time.Second), Line: series.Exact(-1, 1.5, 0, 1000)}}, probe: series.Probe{Low: nan, High: nan, StaleAfter: 30 * 24 * time.Hour}},
		{name: "pH", calibrations: []series.Calibration{found(10, line(0.21, 0.973, 0.05, 0.007, -0.97, 4.01, 7)), left(60, line(-0.04, 1.004, 0.04, 0.006, -0.96, 4.01, 10.01))},
			growth: series.Growth{Rate: 0.03, Walk: 0.01}, probe: series.Probe{Low: 0, High: 14, URead: 0.003, StaleAfter: 36 * 24 * time.Hour}},
		{name: "no compensation", calibrations: two, growth: relative, probe: convert(tempcomp.None{}, linear(0.02, 25), 0, 0.5)},
		{name: "no compensation, other unit", calibrations: two, growth: relative, probe: convert(tempcomp.None{}, linear(0.0191, 20), 0.5, 0.2)},
		{name: "another coefficient", calibrations: two, growth: relative, probe: convert(linear(0.014, 20), linear(0.0215, 25), 1, 0.5)},
		{name: "to natural water", calibrations: two, growth: relative, probe: convert(tempcomp.None{}, tempcomp.NaturalWater{}, 0, 0.5)},
		{name: "from natural water", calibrations: two, growth: relative, probe: convert(tempcomp.NaturalWater{}, linear(0.02, 25), 0.001, 0.5)},
		{name: "uncompensated", calibrations: two, growth: relative, probe: convert(linear(0.02, 25), tempcomp.None{}, 0, 0)},
		{name: "other unit", calibrations: two, growth: relative, probe: convert(nil, nil, 1.5625, 0)},
		{name: "hostile names", meter: `x'); DROP TABLE "log"; -- \`, calibrations: two, growth: relative, probe: unlimited,
			log: reports.LogTable{Table: `l"o'g; --`, Column: `e"c'; \d`, TimeColumn: "ti\nme", TempColumn: `'t"`, View: `v"; \! --`, Constants: `c"' \`}},
	}
	for i := range list {
		p := &list[i]
		if p.meter == "" {
			p.meter = "pen " + p.name
		}
		if p.log.Table == "" {
			p.log = reports.LogTable{Table: "log", Column: "ec", TimeColumn: "time", TempColumn: "temp_C"}
		}
	}
	return append(list, invented(20)...)
}

// invented are timelines by chance, the same each time.
func invented(n int) []plan {
	r := rand.New(rand.NewPCG(8, 4))
	var list []plan
	for i := range n {
		p := plan{name: fmt.Sprint("by chance ", i), meter: fmt.Sprint("P", i),
			log:   reports.LogTable{Table: "log", Column: "ec", TimeColumn: "time", TempColumn: "temp_C"},
			probe: series.Probe{Low: math.NaN(), High: 2000 + 100*float64(r.IntN(20)), StaleAfter: time.Duration(1+r.IntN(100)) * 24 * time.Hour}}
		p.growth = series.Growth{Rate: 0.03 * r.Float64(), Walk: 0.02 * r.Float64(), Relative: r.IntN(3) > 0}
		day := 0.0
		for range 1 + r.IntN(6) {
			day += 1 + 40*r.Float64()
			l := func() series.Line {
				return line(10*r.NormFloat64(), 1+0.1*r.NormFloat64(), 3*r.Float64(), 0.01*r.Float64(), 0.95*(2*r.Float64()-1), 50+50*r.Float64(), 1000+2000*r.Float64())
			}
			switch r.IntN(4) {
			case 0:
				p.calibrations = append(p.calibrations, left(day, l()))
			case 1:
				p.calibrations = append(p.calibrations, found(day, l()), left(day, l()))
			default:
				p.calibrations = append(p.calibrations, found(day, l()))
			}
			if r.IntN(4) == 0 {
				p.breaks = append(p.breaks, series.Break{Time: at(day + 10*r.Float64())})
			}
		}
		if r.IntN(2) == 0 {
			p.probe.Conversion = series.Conversion{Does: tempcomp.None{}, Wanted: tempcomp.Linear{Alpha: 0.019, RefTempC: 25}}
			p.probe.UTemp = r.Float64()
		}
		list = append(list, p)
	}
	return list
}

// All returns the cases, with times in whole steps. At every border of a timeline
// lie the last row before it and the first after it, and for some borders one
// exactly at it.
func All(step time.Duration) ([]Case, error) {
	var list []Case
	for i, p := range plans() {
		timeline, err := series.NewTimeline(p.calibrations, p.breaks, p.growth)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", p.name, err)
		}
		p.probe.Timeline, p.probe.Column = timeline, p.log.Column
		c := Case{Name: p.name, Log: p.log, Meter: reports.MeterConstants{Meter: p.meter, Quantity: "ec", Unit: "uS/cm", Probe: &p.probe, Calibrations: p.calibrations}}
		corrector, err := series.NewCorrector(&p.probe)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", p.name, err)
		}
		r := rand.New(rand.NewPCG(uint64(i), 1))
		for _, t := range times(&p.probe, step, r) {
			for range 4 {
				reading, temp := readingOf(&p.probe, r), tempOf(r)
				value, u, flag := corrector.At(t.UnixNano(), reading, temp)
				c.Rows = append(c.Rows, Row{t, reading, temp, value, u, flag.String()})
			}
		}
		list = append(list, c)
	}
	return list, nil
}

func times(p *series.Probe, step time.Duration, r *rand.Rand) []time.Time {
	var list []time.Time
	around := func(t time.Time) {
		t = t.Truncate(step)
		list = append(list, t, t.Add(step))
	}
	for _, piece := range p.Timeline.Pieces() {
		from, to := time.Unix(0, piece.From).UTC(), time.Unix(0, piece.To).UTC()
		around(from)
		if piece.To == series.Ever {
			to = from.Add(400 * 24 * time.Hour)
		} else {
			around(to)
		}
		for range 3 {
			list = append(list, from.Add(time.Duration(r.Float64()*float64(to.Sub(from)))).Truncate(step))
		}
	}
	if from := p.StaleFrom(); !from.IsZero() {
		around(from)
	}
	return append(list, at(-1000), at(4000))
}

// readingOf invents a reading: some at the very ends of ranges, some absent.
func readingOf(p *series.Probe, r *rand.Rand) float64 {
	pieces := p.Timeline.Pieces()
	piece := pieces[r.IntN(len(pieces))]
	switch r.IntN(12) {
	case 0:
		return math.NaN()
	case 1:
		return piece.Low
	case 2:
		return piece.High
	case 3:
		return p.High // NaN where there is none
	case 4:
		return -1
	case 5:
		return 0
	case 6:
		return math.Nextafter(piece.High, math.Inf(1))
	}
	return piece.Low + 1.02*(piece.High-piece.Low)*r.Float64()
}

func tempOf(r *rand.Rand) float64 {
	list := []float64{math.NaN(), 0, 35, 50, -0.01, 50.01, -127, 25, 20}
	if i := r.IntN(3 * len(list)); i < len(list) {
		return list[i]
	}
	return 5 + 25*r.Float64()
}

// Compare tells how a row that an engine corrected differs from what it should
// be, or nil. Numbers agree to 1e-9, or to 1e-12 of the reading where a corrected
// value nearly vanishes.
func (w Row) Compare(value, u *float64, flag string) error {
	if flag != w.Flag {
		return fmt.Errorf("%s: flag %q, want %q", w, flag, w.Flag)
	}
	for _, n := range []struct {
		name string
		got  *float64
		want float64
	}{{"value", value, w.Value}, {"u", u, w.U}} {
		switch {
		case math.IsNaN(n.want) && n.got == nil:
		case math.IsNaN(n.want):
			return fmt.Errorf("%s: %s %v, want none", w, n.name, *n.got)
		case n.got == nil:
			return fmt.Errorf("%s: no %s, want %v", w, n.name, n.want)
		case !(math.Abs(*n.got-n.want) <= 1e-9*math.Abs(n.want)+1e-12*math.Abs(w.Reading)):
			return fmt.Errorf("%s: %s %v, want %v", w, n.name, *n.got, n.want)
		}
	}
	return nil
}

func (w Row) String() string {
	return fmt.Sprintf("reading %v at %s and %v C", w.Reading, w.Time.Format(time.RFC3339Nano), w.TempC)
}
