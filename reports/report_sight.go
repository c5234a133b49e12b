package reports

import (
	"fmt"
	"math"

	"github.com/brinemark/brinemark/calib/conformity"
)

// ReportSight is what the last check saw: its largest error against the tolerance,
// as a fraction of the reference for conductivity and in the unit of the readings
// otherwise.
type ReportSight struct {
	Day    string  `json:"day"`
	Ref    float64 `json:"ref"`
	Error  float64 `json:"error"`
	UError Number  `json:"u_error"`
	// Verdict is on this error alone; null where no tolerance or no uncertainty is
	// known.
	Verdict *string `json:"verdict"`

	text   string
	beyond bool // the error is larger than the tolerance, whatever its uncertainty
}

// addSight finds the last check, where its errors are of the kind that drift is
// told of.
func (r *Report) addSight() {
	d := r.Drift
	if d == nil || len(r.Calibrations) == 0 {
		return
	}
	c := r.Calibrations[len(r.Calibrations)-1]
	if c.Quantity != d.Quantity {
		return
	}
	worst := -1.0
	for _, p := range c.Readings {
		error, u := p.Error, p.UError
		if d.Relative {
			if p.Ref == 0 {
				continue
			}
			error, u = p.relative()
		}
		limit := 1.0
		if d.Tolerance.IsKnown() {
			limit = d.limitAt(p.Ref)
		}
		if size := math.Abs(error) / limit; size > worst {
			worst = size
			r.LastSeen = &ReportSight{Day: day(p.Time), Ref: p.Ref, Error: error, UError: u}
		}
		if p.Ref == d.Ref {
			d.refU = p.URef // rounded as the tables of the report round it
		}
	}
	if s := r.LastSeen; s != nil {
		s.text, s.beyond = d.seenText(s.Error, s.UError)+d.referenceText(s.Ref, s.Error), d.Tolerance.IsKnown() && worst > 1
		s.judge(d)
	}
}

// judge decides on the error, if its uncertainty is known.
func (s *ReportSight) judge(d *Drift) {
	u, known := s.UError.Get()
	if !known || !d.Tolerance.IsKnown() {
		return
	}
	p, err := conformity.Probability(s.Error, u, math.Inf(1), conformity.Around(d.limitAt(s.Ref)))
	if err == nil {
		s.Verdict = wordOrNull(string(conformity.Default.Decide(p)))
	}
}

func (s *ReportSight) verdict() string { return wordOrEmpty(s.Verdict) }

// relative is the error as a fraction of the reference.
func (p ReportReading) relative() (error float64, u Number) {
	size, known := p.UError.Get()
	return p.Error / p.Ref, Maybe(size/math.Abs(p.Ref), known)
}

// limitAt is the largest error allowed at a reference, as errors are given.
func (d *Drift) limitAt(ref float64) float64 {
	t, _ := d.Tolerance.Get()
	switch {
	case d.Relative && !d.ToleranceRelative:
		return t / math.Abs(ref)
	case !d.Relative && d.ToleranceRelative:
		return t * math.Abs(ref)
	}
	return t
}

// seenText writes an error that was seen, with its uncertainty where it is known.
func (d *Drift) seenText(error float64, u Number) string {
	size, known := u.Get()
	if known && size > 0 {
		return d.amount(error, size)
	}
	if d.Relative {
		return plus(error, trimZeros(Significant(100*error, 3))) + " %"
	}
	return plus(error, trimZeros(Significant(error, 3))) + d.unitText()
}

// referenceText names the reference of an error, where references are told apart
// or the tolerance goes by them; then the error's share of it as well.
func (d *Drift) referenceText(ref, error float64) string {
	share := !d.Relative && d.ToleranceRelative && ref != 0
	if d.Zero == nil && !share {
		return ""
	}
	text := trimZeros(Significant(ref, 5))
	if ref == d.Ref {
		text = d.refText()
	}
	text = " at " + text + d.unitText()
	if share {
		text += fmt.Sprintf(" (%s of it)", plus(error, Percent(error/math.Abs(ref), 2)))
	}
	return text
}

// foretoldText says where the error today rests on a forecast.
func (d *Drift) foretoldText() string {
	if d.Last[:len(dayFormat)] < d.Now[:len(dayFormat)] {
		return " (foretold)"
	}
	return ""
}
