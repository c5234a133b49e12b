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

// prepare checks the readings. stated is false where the uncertainty of some
// reading is not known.
func prepare(b Bottle, readings []Reading, o EstimateOptions) (points []point, stated bool, err error) {
	if b.kappa == nil {
		return nil, false, fmt.Errorf("the bottle is not described; make it with SaltBottle or NewBottle: %w", ErrOutOfRange)
	}
	if err := o.Scale.check(); err != nil {
		return nil, false, err
	}
	if err := RefTemperatureRange().Check(linearSubject, o.RefTempC); err != nil {
		return nil, false, err
	}
	stated = true
	var temps []float64
	for i, r := range readings {
		p, err := newPoint(b, r, o)
		if err != nil {
			return nil, false, fmt.Errorf("reading %d: %w", i+1, err)
		}
		stated = stated && len(r.Shown.Unstated()) == 0
		points, temps = append(points, p), append(temps, r.TempC.Nominal())
	}
	least := 2
	if !stated {
		least = 3
	}
	if len(points) < least {
		return nil, false, fmt.Errorf("%d readings: %w; want at least two at different temperatures, three where their uncertainty is not stated", len(points), ErrTooFew)
	}
	if span := floats.Max(temps) - floats.Min(temps); span < MinSpanC {
		return nil, false, fmt.Errorf("temperatures from %g to %g C: %w; want a span of at least %g C, better 15 C", floats.Min(temps), floats.Max(temps), ErrOneTemp, MinSpanC)
	}
	return points, stated, nil
}

func newPoint(b Bottle, r Reading, o EstimateOptions) (point, error) {
	shown, t := r.Shown.Nominal(), r.TempC.Nominal()
	if err := TemperatureRange().Check("estimate of the compensation", t); err != nil {
		return point{}, err
	}
	if !(shown > 0) || math.IsInf(shown, 1) {
		return point{}, fmt.Errorf("%g %s; want a finite number above 0: %w", shown, o.Scale.Unit, ErrOutOfRange)
	}
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

// residual is ln r − ln G − ln κ + ln F with all its sources. An error of the
// thermometer shifts κ and, unless it is the meter's own, F along with it.
func (p point) residual(lnG, alpha float64) (uncert.Value, error) {
	f := 1 + alpha*p.dt
	byTemp := -p.dKappa
	if !p.compensatesByOwn {
		byTemp += alpha / f
	}
	return uncert.Combine(p.lnR.Nominal()-lnG-p.lnKappa+math.Log(f),
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
