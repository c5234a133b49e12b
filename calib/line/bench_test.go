package line

import "testing"

func BenchmarkErrorsInBothPearson(b *testing.B) {
	data := published(&testing.T{}, "york_pearson")
	p := pearson(b, data)
	for b.Loop() {
		f, err := ErrorsInBoth(p)
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(f.Iterations), "steps")
	}
}
