package drift

import (
	"math"
	"slices"
	"time"
)

// PathPoint is the error at one moment as all checks together tell it.
type PathPoint struct {
	Time      time.Time
	Error     float64
	Low, High float64 // bound 95 %
	Ahead     bool    // after Now
	Stretch   int     // counts events; the line is broken between two stretches
}

// How many moments a path has: to the last entry and from there on.
const (
	pathBehind = 96
	pathAhead  = 48
)

// mostPaths bounds how many parts of the belief are smoothed.
const mostPaths = 40

// path tells the error over time at the result's reference: before the last
// entry from all checks, after it as a forecast.
func (b *belief) path(r *Result) []PathPoint {
	t := b.line
	var behind []PathPoint
	for _, p := range t.pathTimes() {
		behind = append(behind, p)
	}
	times := make([]time.Time, len(behind))
	for i, p := range behind {
		times[i] = p.Time
	}
	mixes := make([]mixture, len(times))
	covered := 0.0
	for i := range b.parts {
		if i == mostPaths || covered > 0.99 {
			break
		}
		g := &b.parts[i]
		covered += g.weight
		mean, variance := g.look(t, t.loading(r.Ref), times)
		for k := range times {
			mixes[k] = append(mixes[k], gaussian{g.weight, mean[k] * t.scale, math.Sqrt(variance[k]) * t.scale})
		}
	}
	for k := range behind {
		for i := range mixes[k] {
			mixes[k][i].weight /= covered
		}
		behind[k].fill(mixes[k])
	}
	stretch := 0
	if len(behind) > 0 {
		stretch = behind[len(behind)-1].Stretch
	}
	return append(behind, b.ahead(r, stretch)...)
}

func (p *PathPoint) fill(m mixture) {
	f := figure(m.lean())
	p.Error, p.Low, p.High = f.Value, f.Low, f.High
}

// pathTimes are the moments to the last entry, with one just before and one
// after every event.
func (t *timeline) pathTimes() []PathPoint {
	var out []PathPoint
	span := t.last.Sub(t.first)
	for k := range pathBehind + 1 {
		out = append(out, PathPoint{Time: t.first.Add(time.Duration(float64(span) * float64(k) / pathBehind))})
	}
	var events []time.Time
	for i := range t.entries {
		if e := &t.entries[i]; e.Event != "" {
			events = append(events, e.Time)
			out = append(out, PathPoint{Time: e.Time.Add(-time.Second)}, PathPoint{Time: e.Time.Add(time.Second)})
		}
	}
	out = slices.DeleteFunc(out, func(p PathPoint) bool { return p.Time.Before(t.first) || p.Time.After(t.last) })
	slices.SortFunc(out, func(a, b PathPoint) int { return a.Time.Compare(b.Time) })
	out = slices.CompactFunc(out, func(a, b PathPoint) bool { return a.Time.Equal(b.Time) })
	for i := range out {
		for _, at := range events {
			if out[i].Time.After(at) {
				out[i].Stretch++
			}
		}
	}
	return out
}

// ahead is the forecast: to the due day, or to the next check, but not so far
// that the checks would be squeezed together.
func (b *belief) ahead(r *Result, stretch int) []PathPoint {
	t := b.line
	end := r.NextCheck
	if !r.Due.IsZero() {
		end = r.Due
		if far := r.Now.Add(2*t.last.Sub(t.first) + 90*24*time.Hour); end.After(far) {
			end = far
		}
	}
	if end.Before(r.NextCheck) {
		end = r.NextCheck
	}
	if !end.After(r.Now) {
		end = r.Now.AddDate(0, 0, r.Practice.Days)
	}
	times := []time.Time{r.Now}
	for k := range pathAhead {
		times = append(times, t.last.Add(time.Duration(float64(end.Sub(t.last))*float64(k+1)/pathAhead)))
	}
	slices.SortFunc(times, func(a, b time.Time) int { return a.Compare(b) })
	var out []PathPoint
	for _, at := range times {
		if at.Before(t.last) {
			continue
		}
		p := PathPoint{Time: at, Ahead: at.After(r.Now), Stretch: stretch}
		p.fill(b.errorAt(r.Ref, months(t.last, at)))
		out = append(out, p)
	}
	return out
}
