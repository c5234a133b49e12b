package drift

import (
	"math"
	"runtime"
	"sort"
	"sync"
	"sync/atomic"
)

// grid lists the hyperparameters that are tried.
func grid(t *timeline) []hyper {
	noises, factors := []choice{{0, 1}}, []choice{{1, 1}}
	stated := false
	for i := range t.checks {
		if t.checks[i].unstated {
			noises = noiseSizes
		} else {
			stated = true
		}
	}
	if stated {
		factors = noiseFactors
	}
	seconds := []choice{{0, 1}}
	if t.base > second {
		seconds = secondSizes
	}
	var out []hyper
	for _, rate := range rateSizes {
		for _, m := range motions {
			for _, noise := range noises {
				for _, factor := range factors {
					for _, s := range seconds {
						out = append(out, hyper{
							rate: rate.size, walk: m.walk, wander: m.wander, noise: noise.size, factor: factor.size, second: s.size,
							logPrior: math.Log(rate.weight * math.Max(m.weight, m.dated) * noise.weight * factor.weight * s.weight),
							weight:   m.weight / math.Max(m.weight, m.dated), dated: m.dated / math.Max(m.weight, m.dated),
						})
					}
				}
			}
		}
	}
	return out
}

// chunk is how many steps all points of the grid take before those that the
// checks have ruled out are dropped.
const chunk = 4

// leastPoint is what a point of the grid must weigh next to the heaviest to be
// kept, as a logarithm.
const leastPoint = 10.0

// infer runs the filter over the grid and returns what the checks leave of it.
func infer(t *timeline, width int) []*run {
	var runs []*run
	for _, h := range grid(t) {
		r := newRun(t, h, width)
		r.start()
		runs = append(runs, r)
	}
	for from := 0; from < len(t.steps); from += chunk {
		to := min(from+chunk, len(t.steps))
		advance(runs, from, to)
		sort.SliceStable(runs, func(i, j int) bool { return runs[i].evidence > runs[j].evidence })
		n := len(runs)
		for n > 1 && runs[n-1].evidence < runs[0].evidence-leastPoint {
			n--
		}
		runs = runs[:n]
	}
	return runs
}

// advance runs steps at all points of the grid, on all processors: no point
// looks at another. What a step needs beside the branches that stay, one point
// leaves to the next.
func advance(runs []*run, from, to int) {
	var next atomic.Int64
	var points sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(runs)) {
		points.Go(func() {
			var spare run
			for i := int(next.Add(1)) - 1; i < len(runs); i = int(next.Add(1)) - 1 {
				r := runs[i]
				r.free, r.work = spare.free, spare.work
				r.advance(from, to)
				r.evidence = r.sum()
				spare.free, spare.work, r.free, r.work = r.free, r.work, nil, nil
			}
		})
	}
	points.Wait()
}
