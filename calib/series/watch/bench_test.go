package watch_test

import (
	"math/rand/v2"
	"testing"

	"github.com/brinemark/brinemark/calib/series/watch"
	"github.com/stretchr/testify/require"
)

func BenchmarkDry(b *testing.B) {
	s := invent(rand.New(rand.NewPCG(3, 8)), 20000)
	d, err := watch.NewDry(watch.UsualDryLimits(s.floor))
	require.NoError(b, err)
	b.ReportAllocs()
	k := 0
	for b.Loop() {
		d.Next(s.times[k], s.values[k])
		if k++; k == len(s.times) {
			k = 0
		}
	}
}

// A row has four columns here and the temperature.
func BenchmarkEventsOfARow(b *testing.B) {
	s := inventRig(rand.New(rand.NewPCG(3, 21)), 20000)
	e, err := watch.NewEvents(s.columns, func(watch.Event) {})
	require.NoError(b, err)
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		k := i % len(s.times)
		e.Row(s.times[k], s.temps[k], s.seen[k])
	}
}

func BenchmarkDaily(b *testing.B) {
	s := inventRig(rand.New(rand.NewPCG(3, 21)), 20000)
	d := watch.NewDaily(1, nil, func(watch.Day) {})
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		k := i % len(s.times)
		d.Row(s.times[k], 0, s.seen[k][0].Value, true)
	}
}

// The rows of a log cost no memory, however many they are.
func TestRowsCostNoMemory(t *testing.T) {
	s := invent(rand.New(rand.NewPCG(4, 8)), 20000)
	d, err := watch.NewDry(watch.UsualDryLimits(s.floor))
	require.NoError(t, err)
	k := 0
	require.Zero(t, testing.AllocsPerRun(len(s.times), func() {
		d.Next(s.times[k%len(s.times)], s.values[k%len(s.times)])
		k++
	}), "dry")

	// Rows in which nothing happens: an event itself may cost some.
	calm := []watch.Seen{{Reading: 1000, Value: 1000}, {Reading: 6, Value: 6}}
	e, err := watch.NewEvents([]watch.Column{{Conductivity: true, Least: 0.03, Relative: true}, {Least: 0.08}}, func(watch.Event) {})
	require.NoError(t, err)
	n := int64(0)
	require.Zero(t, testing.AllocsPerRun(10000, func() {
		n++
		calm[0].Value = 1000 + float64(n%7)
		calm[0].Reading = calm[0].Value
		if n%50 == 0 {
			calm[0].Value = 1200 // a departure that is none
		}
		e.Row(n*60e9, 20, calm)
	}), "events")

	daily := watch.NewDaily(1, nil, func(watch.Day) {})
	for i := range int64(watch.MostSample) {
		daily.Row(i*1e9, 0, float64(i), true)
	}
	n = watch.MostSample
	require.Zero(t, testing.AllocsPerRun(50000, func() {
		n++
		daily.Row(n*1e9, 0, float64(n%911), true)
	}), "daily")
}
