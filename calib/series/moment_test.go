package series

import (
	"testing"
	"time"

	"github.com/brinemark/brinemark/calib/readings"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// FuzzClock holds the quick reading of times against readings.ParseTime, in zones
// with whole, half and no changes of their clocks.
func FuzzClock(f *testing.F) {
	for _, seed := range []string{
		"2026-03-01T08:30:00Z", "2026-03-01T08:30:00.25Z", "2026-03-01T08:30:00.123456789+05:30", "2026-03-01T08:30:00.1234567891Z", "2026-03-01T08:30:00-11:59", "2026-03-01T08:30:00+24:00",
		"2026-03-01 08:30", "2026-03-01 08:30:15", "2026-03-01 08:30:15.5", "2026-03-01T08:30", "2026-03-01T08:30Z", "2026-03-01 08:30:00Z", "2026-03-29 02:30", "2026-03-29 01:59", "2026-03-29 23:59:59",
		"2026-10-25 02:30", "2026-10-24 23:00", "2026-10-26 00:00", "2026-04-05 01:45", "2026-02-29 10:00", "2026-03-01 24:00", "2026-03-01 08:60", "2026-03-01 08:30:60", "1772353800", "9999999999", "1772353800.5", "20260301",
		"1699-12-31 23:00", "1700-01-01 00:00", "2200-12-31 23:59", "2201-01-01 00:00", "2200-12-31T23:00:00-05:00", "7289654399", "7289654400", "2026-03-01_08:30", "2026-03-01 08:30:00+02:00", "2026-03-01 08:30+02:00", "2026-03-01 08:30:00.5-05:30", "2026-03-01T08:30:00.Z", "2026-03-01 08:30:00,5", "",
	} {
		f.Add(seed, seed)
	}
	var zones []*time.Location
	for _, name := range []string{"UTC", "Europe/Vienna", "Australia/Lord_Howe", "Asia/Kolkata", "Pacific/Apia", "America/St_Johns"} {
		zone, err := time.LoadLocation(name)
		require.NoError(f, err)
		zones = append(zones, zone)
	}
	f.Fuzz(func(t *testing.T, first, second string) {
		for _, zone := range zones {
			clock := newClock(zone)
			for _, text := range []string{first, second, first} { // a clock remembers days
				got, err := clock.read([]byte(text))
				want, wantErr := readings.ParseTime(text, zone)
				outside := wantErr == nil && (want.Year() < firstYear || want.Year() > lastYear)
				require.Equal(t, wantErr != nil || outside, err != nil, "%q in %s: %v; %v", text, zone, err, wantErr)
				if err == nil {
					require.Equal(t, want.UnixNano(), got, "%q in %s", text, zone)
				}
			}
		}
	})
}

// Every minute of a year in which clocks change.
func TestClockAllYear(t *testing.T) {
	for _, name := range []string{"Europe/Vienna", "Australia/Lord_Howe", "America/St_Johns"} {
		zone, err := time.LoadLocation(name)
		require.NoError(t, err)
		clock := newClock(zone)
		quick := 0
		for at := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC); at.Year() == 2026; at = at.Add(7 * time.Minute) {
			text := at.Format("2006-01-02 15:04")
			want, wantErr := readings.ParseTime(text, zone)
			got, err := clock.read([]byte(text))
			require.Equal(t, wantErr != nil, err != nil, text)
			if err == nil {
				require.Equal(t, want.UnixNano(), got, text)
			}
			if _, ok := clock.plain([]byte(text)); ok {
				quick++
			}
		}
		assert.Greater(t, quick, 365*24*60/7*97/100, "nearly all are read the quick way")
	}
}

// The common forms take no memory.
func TestClockAllocatesNothing(t *testing.T) {
	vienna, err := time.LoadLocation("Europe/Vienna")
	require.NoError(t, err)
	clock := newClock(vienna)
	for _, text := range []string{"2026-03-01T08:30:00Z", "2026-03-01T08:30:00.250+01:00", "2026-03-01 08:30:00.250+01:00", "2026-03-01 08:30", "2026-03-01T08:30:15", "1772353800"} {
		cell := []byte(text)
		assert.Zero(t, testing.AllocsPerRun(100, func() {
			if _, err := clock.read(cell); err != nil {
				t.Fatal(err)
			}
		}), text)
	}
}
