package series

import (
	"math"
	"sort"
)

// Corrector puts the readings of one probe right. It remembers where in the
// timeline it was, so that rows in the order of time cost least; rows in any
// order are right. It is for one goroutine.
type Corrector struct {
	pieces     []Piece
	current    int
	low, high  float64
	varRead    float64
	varTemp    float64
	conversion compiled
	staleFrom  int64
}

// NewCorrector returns one for a probe.
func NewCorrector(p *Probe) (*Corrector, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	c := &Corrector{
		pieces: p.Timeline.pieces, low: p.Low, high: p.High, varRead: p.URead * p.URead, varTemp: p.UTemp * p.UTemp,
		conversion: p.Conversion.compile(), staleFrom: Ever,
	}
	if p.StaleAfter > 0 {
		c.staleFrom = p.Timeline.last.Add(p.StaleAfter).UnixNano()
	}
	return c, nil
}

// find returns the piece a time belongs to, or nil.
func (c *Corrector) find(t int64) *Piece {
	if p := &c.pieces[c.current]; t >= p.From && t < p.To {
		return p
	}
	i := sort.Search(len(c.pieces), func(i int) bool { return c.pieces[i].To > t })
	if i == len(c.pieces) || t < c.pieces[i].From {
		return nil
	}
	c.current = i
	return &c.pieces[i]
}

// At corrects a reading made at a time (Unix nanoseconds) in a liquid of tempC;
// NaN stands for a temperature nobody knows, and one that no rule of compensation
// takes (a broken thermometer's) counts as such. value is NaN where there is
// nothing to correct, u, its standard uncertainty, also where the calibration
// states none.
func (c *Corrector) At(t int64, reading, tempC float64) (value, u float64, flag Flag) {
	var made corrected
	c.correct(&made, t, reading, tempC)
	return made.value, made.u, made.flag
}

// correct puts into made all that correction makes of a reading.
func (c *Corrector) correct(made *corrected, t int64, reading, tempC float64) {
	if math.IsNaN(reading) {
		*made = noOutcome(Blank)
		return
	}
	p := c.find(t)
	if p == nil {
		*made = noOutcome(BeforeCalibration)
		made.reading = reading
		return
	}
	ratio, slope, ok := c.conversion.at(tempC)
	if !ok {
		*made = noOutcome(Blank)
		made.reading = reading
		return
	}
	d := days(p.From, t)
	gain := p.Slope + d*p.SlopePerDay
	shown := p.Intercept + d*p.InterceptPerDay + gain*reading
	variance := p.VarIntercept.At(d) + reading*(2*p.Cov.At(d)+reading*p.VarSlope.At(d)) + gain*gain*c.varRead
	made.reading, made.correction, made.value = reading, shown-reading, ratio*shown
	variance = ratio*ratio*variance + shown*shown*slope*slope*c.varTemp
	made.u = math.Sqrt(max(variance, 0))
	switch {
	case reading < c.low || reading >= c.high || reading < p.Low || reading > p.High:
		made.flag = OutOfRange
	case t >= c.staleFrom:
		made.flag = Stale
	default:
		made.flag = Believed
	}
}

// liquid is the temperature of the liquid by a thermometer: corrected, or as it
// was read where no calibration applies yet.
func (c *Corrector) liquid(t int64, tempC float64) float64 {
	if value, _, flag := c.At(t, tempC, math.NaN()); flag.Valued() {
		return value
	}
	return tempC
}
