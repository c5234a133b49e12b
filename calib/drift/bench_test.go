package drift

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// tenYears is a record of weekly checks with three references, in bottles of
// stocks, of a meter that is adjusted once a year.
func tenYears() (list []Entry) {
	rng := rand.New(rand.NewPCG(1, 2))
	for week := range 520 {
		at := noon.AddDate(0, 0, -7*(520-week))
		for k, ref := range []float64{500, 1413, 2760} {
			list = append(list, Entry{Time: at, Ref: ptr(ref), Reading: ptr(ref * (1 + 0.004*rng.NormFloat64() + 0.0001*float64(week%50))),
				URef: ptr(0.002 * ref), UReading: ptr(0.003 * ref), URefShared: ptr(0.003 * ref), RefSource: fmt.Sprint("stock ", week/25),
				Bottle: fmt.Sprint(k, " of week ", week/8*8)})
		}
		if week%50 == 49 {
			list = append(list, Entry{Time: at.Add(time.Hour), Event: Adjusted})
		}
	}
	return list
}

// Ten years of weekly checks are told in about a second.
func TestTenYears(t *testing.T) {
	list, start := tenYears(), time.Now()
	r, err := Run(list, asked())
	require.NoError(t, err)
	assert.Less(t, time.Since(start), 20*time.Second, "a bound for slow machines; half a second is usual")
	assert.Equal(t, 1560, r.N)
	assert.InDelta(t, 0.0001*30/7, r.Rate.Value, 0.0001)
	assert.False(t, r.hasAlarm(AlarmBottle))
}

func BenchmarkRun(b *testing.B) {
	l := everything().draw(rand.New(rand.NewPCG(1, 5)))
	b.Logf("%d entries", len(l.entries))
	for b.Loop() {
		if _, err := Run(l.entries, l.o); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkTenYears(b *testing.B) {
	list := tenYears()
	for b.Loop() {
		if _, err := Run(list, asked()); err != nil {
			b.Fatal(err)
		}
	}
}
