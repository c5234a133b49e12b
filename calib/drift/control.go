package drift

import "math"

// ControlPoint is one check on the control charts.
type ControlPoint struct {
	Check int     // of Result.Checks
	Q     float64 // standard normal while nothing drifts; see below
	EWMA  EWMAPoint
	CUSUM CUSUMPoint
}

// Control is the charts of a meter's checks. What is charted is not the error
// itself but how far each check lies from what the checks before it, taken as
// those of a steady meter, foretold, as a standard normal value Q: exactly so
// where the uncertainties are stated and right, and by way of Student's t where
// they are judged by the scatter (C.P. Quesenberry, J. Qual. Technol. 23 (1991)
// 213). So a chart starts with the second check, needs no target and no history
// in control, and its false alarms can be computed.
type Control struct {
	Points []ControlPoint
	Stated bool // the uncertainties were stated

	Lambda    float64 // of the EWMA chart
	EWMAWidth float64 // its limits, in standard deviations
	Slack     float64 // of the CUSUM chart
	CUSUM     float64 // its decision limit
	// FalseAlarm is the probability that a chart of a meter that does not drift
	// shows an alarm at all.
	FalseAlarm float64
}

// Settings of the charts: lambda and slack as the handbook recommends for
// small shifts (NIST/SEMATECH e-Handbook, 6.3.2.3 and 6.3.2.4).
const (
	controlLambda = 0.2
	controlSlack  = 0.5
	// clipped bounds a single value on the charts: one wrong check is not a drift.
	clipped = 3.0
)

// control makes the charts. skip tells which checks count as wrong.
func (t *timeline) control(skip []bool) Control {
	c := Control{Stated: true, Lambda: controlLambda, Slack: controlSlack, FalseAlarm: chartAlarm}
	for i := range t.checks {
		if t.checks[i].unstated {
			c.Stated = false
		}
	}
	q := t.foretold(skip, c.Stated)
	n := 0
	for _, x := range q {
		if !math.IsNaN(x) {
			n++
		}
	}
	c.EWMAWidth, c.CUSUM = chartLimits(n)
	var values []float64
	flush := func(members []int) {
		ewma := EWMA(values, 0, 1, c.Lambda, c.EWMAWidth, false)
		cusum := CUSUM(values, 0, c.Slack, c.CUSUM)
		for k, i := range members {
			c.Points = append(c.Points, ControlPoint{i, q[i], ewma[k], cusum[k]})
		}
		values = nil
	}
	var members []int
	for i := range t.checks {
		if i > 0 && t.checks[i].segment != t.checks[i-1].segment {
			flush(members) // the charts begin anew after an event
			members = nil
		}
		if !math.IsNaN(q[i]) {
			members = append(members, i)
			values = append(values, math.Max(-clipped, math.Min(clipped, q[i])))
		}
	}
	flush(members)
	return c
}

// foretold gives every check its Q; NaN for one that begins something new and
// for one that is skipped.
func (t *timeline) foretold(skip []bool, stated bool) []float64 {
	f := newStable(t, stated)
	out := make([]float64, len(t.checks))
	for i := range t.checks {
		out[i] = math.NaN()
		if !skip[i] {
			out[i] = f.add(i)
		}
	}
	return out
}
