package cause

import "math"

// ladder is a wide prior on the size of something that is above zero: a
// log-normal with this median and this standard deviation of the logarithm, cut
// off below Low and above High. It is carried as rungs, each a normal
// distribution about its own size, so that everything given a rung is linear.
type ladder struct {
	Low, Median, High, LogSD float64
}

// rung is one step of a ladder.
type rung struct {
	size, sd float64
	weight   float64 // the weights of a ladder add up to 1
}

// rungRatio is the step between rungs of a fault's size, and rungWidth the
// standard deviation of a rung in units of its size: half the step, so that the
// sum of the rungs is smooth.
const (
	rungRatio = 1.6
	rungWidth = 0.25
)

// rungs are the steps of a ladder, from Low to High.
func (l ladder) rungs(ratio float64) []rung {
	steps := max(1, int(math.Round(math.Log(l.High/l.Low)/math.Log(ratio))))
	ratio = math.Pow(l.High/l.Low, 1/float64(steps))
	out := make([]rung, 0, steps+1)
	sum := 0.0
	for i := range steps + 1 {
		size := l.Low * math.Pow(ratio, float64(i))
		z := math.Log(size/l.Median) / l.LogSD
		w := math.Exp(-z * z / 2)
		out = append(out, rung{size: size, sd: rungWidth * size, weight: w})
		sum += w
	}
	for i := range out {
		out[i].weight /= sum
	}
	return out
}

// from cuts the ladder off below low, keeping some of it above.
func (l ladder) from(low float64) ladder {
	l.Low = max(l.Low, low)
	l.High = max(l.High, 3*l.Low)
	return l
}

// bothSigns mirrors rungs at zero.
func bothSigns(rungs []rung) []rung {
	out := make([]rung, 0, 2*len(rungs))
	for _, sign := range []float64{-1, 1} {
		for _, r := range rungs {
			out = append(out, rung{size: sign * r.size, sd: r.sd, weight: r.weight / 2})
		}
	}
	return out
}
