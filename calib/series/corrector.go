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
	made := c.at(t, reading, tempC)
	return made.value, made.u, made.flag
}

func (c *Corrector) at(t int64, reading, tempC float64) corrected {
	made := corrected{reading: reading, correction: math.NaN(), value: math.NaN(), u: math.NaN(), flag: Blank}
	if math.IsNaN(reading) {
		return made
	}
	p := c.find(t)
	if p == nil {
		made.flag = BeforeCalibration
		return made
	}
	ratio, slope, ok := c.conversion.at(tempC)
	if !ok {
		return made
	}
	d := days(p.From, t)
	gain := p.Slope + d*p.SlopePerDay
	shown := p.Intercept + d*p.InterceptPerDay + gain*reading
	variance := p.VarIntercept.At(d) + reading*(2*p.Cov.At(d)+reading*p.VarSlope.At(d)) + gain*gain*c.varRead
	made.correction, made.value = shown-reading, ratio*shown
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
	return made
}

// liquid is the temperature of the liquid by a thermometer: corrected, or as it
// was read where no calibration applies yet.
func (c *Corrector) liquid(t int64, tempC float64) float64 {
	if made := c.at(t, tempC, math.NaN()); made.flag.Valued() {
		return made.value
	}
	return tempC
}
