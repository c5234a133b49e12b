package main

import (
	"runtime"
	"sync"
	"sync/atomic"

	"github.com/brinemark/brinemark/calib/drift"
	"github.com/brinemark/brinemark/reports"
)

// driftJob is what is asked about one meter, and in the end the answer.
type driftJob struct {
	rows    driftRows
	options drift.Options
	unit    string
	result  *drift.Result
	err     error
}

func (j *driftJob) run() { j.result, j.err = drift.Run(j.rows.entries, j.options) }

func (j *driftJob) report() *reports.Drift {
	return reports.NewDrift(j.result, j.rows.meter, j.unit, j.rows.warnings...)
}

// runDrifts does the jobs side by side. Each answer stands in its job, so the
// order in which they come changes nothing.
func runDrifts(jobs []driftJob) {
	sideBySide(len(jobs), func(i int) { jobs[i].run() })
}

// sideBySide does n things, as many at a time as there are processors.
func sideBySide(n int, do func(i int)) {
	var next atomic.Int64
	var done sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), n) {
		done.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				do(i)
			}
		})
	}
	done.Wait()
}
