package drift

import (
	"math/rand/v2"
	"testing"
)

func BenchmarkRun(b *testing.B) {
	l := everything().draw(rand.New(rand.NewPCG(1, 5)))
	b.Logf("%d entries", len(l.entries))
	for b.Loop() {
		if _, err := Run(l.entries, l.o); err != nil {
			b.Fatal(err)
		}
	}
}
