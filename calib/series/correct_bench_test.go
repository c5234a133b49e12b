package series

import (
	"bytes"
	"io"
	"testing"
)

// BenchmarkCorrect corrects two columns of a log of 14 days, over and over: the
// allocations are those of a whole log, and so next to nothing for a row.
func BenchmarkCorrect(b *testing.B) {
	log, plan := inventedLog(200000), inventedPlan(b)
	b.SetBytes(int64(len(log)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Correct(bytes.NewReader(log), io.Discard, "log.csv", plan); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/200000, "ns/row")
}

// BenchmarkWorker is the part of it that the workers do, on one processor.
func BenchmarkWorker(b *testing.B) {
	w, block := benchWorker(b)
	b.SetBytes(int64(len(block.text)))
	b.ReportAllocs()
	for b.Loop() {
		w.correct(block)
		w.write(block)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(block.rows)), "ns/row")
}

// benchWorker returns a worker and a block that fits it.
func benchWorker(t testing.TB) (worker, *block) {
	plan := inventedPlan(t)
	log := inventedLog(1600)
	h, err := readHead(log, plan)
	if err != nil {
		t.Fatal(err)
	}
	w, err := newDelimitedWorker(plan, h)
	if err != nil {
		t.Fatal(err)
	}
	block := newBlock(len(plan.Probes))
	block.text, block.line = log[h.size:], 2
	return w, block
}

// BenchmarkJudge is what the judge does with it.
func BenchmarkJudge(b *testing.B) {
	w, block := benchWorker(b)
	j, err := newJudge(inventedPlan(b), 1)
	if err != nil {
		b.Fatal(err)
	}
	w.correct(block)
	b.ReportAllocs()
	for b.Loop() {
		j.flag(block)
		j.sum(block)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(block.rows)), "ns/row")
}
