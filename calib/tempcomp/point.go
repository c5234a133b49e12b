package tempcomp

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"

	"github.com/brinemark/brinemark/calib/scatter"
	"github.com/brinemark/brinemark/calib/uncert"
)

// point is a reading ready for the fit of ln r = ln G + ln κ(t) − ln F(t).
type point struct {
	lnR              uncert.Value
	temp             uncert.Value
	lnKappa, dKappa  float64 // and its derivative by t, 1/C
	shape            uncert.Value
	dt               float64 // t − t_ref
	compensatesByOwn bool
}

// bench is what an estimate starts from: checked readings, ready for the fit.
type bench struct {
	points []point
	stated bool    // the uncertainty of every reading is known
	floor  float64 // relative standard deviation below which no scatter is believed: the display's step
	stops  int     // different temperatures
}

// prepare checks the readings.
func prepare(b Bottle, readings []Reading, o EstimateOptions) (bench, error) {
	if b.kappa == nil {
		return bench{}, fmt.Errorf("the bottle is not described; make it with SaltBottle or NewBottle: %w", ErrOutOfRange)
	}
	if err := o.Scale.check(); err != nil {
		return bench{}, err
	}
	if err := RefTemperatureRange().Check(linearSubject, o.RefTempC); err != nil {
		return bench{}, err
	}
	if len(readings) > MaxReadings {
		return bench{}, fmt.Errorf("%d readings: %w; want at most %d, such as one mean of each stop of the bath", len(readings), ErrTooMany, MaxReadings)
	}
	for i, r := range readings {
		if err := r.check(i, o.Scale); err != nil {
			return bench{}, err
		}
	}
	if err := checkResolution(readings, o.Resolution, o.Scale.Unit); err != nil {
		return bench{}, err
	}
	readings, err := withRounding(readings, o.Resolution)
	if err != nil {
		return bench{}, err
	}
	out := bench{stated: true}
	var temps []float64
	for i, r := range readings {
		p, err := newPoint(b, r, o)
		if err != nil {
			return bench{}, &ReadingError{Index: i, Of: OfTemperature, Err: err}
		}
		out.stated = out.stated && len(r.Shown.Unstated()) == 0
		out.points, temps = append(out.points, p), append(temps, r.TempC.Nominal())
		step := o.Resolution / r.Shown.Nominal()
		out.floor += step * step / 12 / float64(len(readings))
	}
	out.floor = math.Sqrt(out.floor)
	_, out.stops = stops(temps)
	return out, out.enough(readings, temps, o)
}

// enough refuses what no coefficient can be had from.
func (b bench) enough(readings []Reading, temps []float64, o EstimateOptions) error {
	least := 2
	if !b.stated {
		least = 3
	}
	if len(readings) < least {
		return fmt.Errorf("%d readings: %w; want at least two at different temperatures, three where their uncertainty is not stated", len(readings), ErrTooFew)
	}
	if span := floats.Max(temps) - floats.Min(temps); span < MinSpanC {
		return fmt.Errorf("temperatures from %g to %g C: %w; want a span of at least %g C, better 15 C", floats.Min(temps), floats.Max(temps), ErrOneTemp, MinSpanC)
	}
	if !b.stated && o.Resolution == 0 && allTheSame(readings) {
		return fmt.Errorf("every reading is %g: %w; want the step of the display or the uncertainty of the readings, and a display that is not held", readings[0].Shown.Nominal(), ErrNoScatter)
	}
	return nil
}

// check refuses numbers that no reading has.
func (r Reading) check(i int, s Scale) error {
	if err := TemperatureRange().Check("estimate of the compensation", r.TempC.Nominal()); err != nil {
		return &ReadingError{Index: i, Of: OfTemperature, Err: err}
	}
	if shown := r.Shown.Nominal(); !(shown > 0) || math.IsInf(shown, 1) {
		return &ReadingError{Index: i, Of: OfReading, Err: fmt.Errorf("%g %s; want a finite number above 0: %w", shown, s.Unit, ErrOutOfRange)}
	}
	return nil
}

func newPoint(b Bottle, r Reading, o EstimateOptions) (point, error) {
	shown, t := r.Shown.Nominal(), r.TempC.Nominal()
	ln, slope, shapeU, err := b.at(t)
	if err != nil {
		return point{}, err
	}
	lnR, err := r.Shown.Map(math.Log(shown/o.Scale.Factor), 1/shown)
	if err != nil {
		return point{}, err
	}
	shape, err := uncert.FromParts(0, []uncert.Contribution{{Source: b.shape, Size: shapeU, Stated: true}})
	if err != nil {
		return point{}, err
	}
	return point{
		lnR: lnR, temp: r.TempC, lnKappa: ln, dKappa: slope, shape: shape,
		dt: t - o.RefTempC, compensatesByOwn: o.OwnThermometer,
	}, nil
}

// residual is that of the straight rule with this coefficient.
func (p point) residual(lnG, alpha float64) (uncert.Value, error) {
	f := 1 + alpha*p.dt
	return p.against(lnG, math.Log(f), alpha/f)
}

// against is ln r − ln G − ln κ + ln F with all its sources; slope is d ln F/dt
// in 1/C. An error of the thermometer shifts κ and, unless it is the meter's
// own, F along with it.
func (p point) against(lnG, lnF, slope float64) (uncert.Value, error) {
	byTemp := -p.dKappa
	if !p.compensatesByOwn {
		byTemp += slope
	}
	return uncert.Combine(p.lnR.Nominal()-lnG-p.lnKappa+lnF,
		uncert.Term{Value: p.lnR, Slope: 1},
		uncert.Term{Value: scatter.StatedOnly(p.temp), Slope: byTemp},
		uncert.Term{Value: p.shape, Slope: -1})
}

// naturalFits reports whether natural-water compensation, with one parameter
// less, leaves less than a quarter of the squared residuals of the straight
// line.
func naturalFits(points []point, residuals []float64) bool {
	var d []float64
	for _, p := range points {
		f, err := NaturalWater{}.Factor(p.temp.Nominal())
		if err != nil {
			return false
		}
		d = append(d, p.lnR.Nominal()-p.lnKappa+math.Log(f))
	}
	mean := floats.Sum(d) / float64(len(d))
	var natural, straight float64
	for i := range d {
		natural += (d[i] - mean) * (d[i] - mean)
		straight += residuals[i] * residuals[i]
	}
	return natural < straight/4
}
