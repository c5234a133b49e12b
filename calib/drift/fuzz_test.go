package drift

import (
	"encoding/binary"
	"math"
	"testing"
	"time"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// decode makes a record of bytes: eight for each row.
func decode(data []byte) (entries []Entry, o Options) {
	o = Options{Kind: check.EC, Now: noon, Tolerance: fivePercent()}
	if len(data) > 0 {
		o.Kind = check.Kinds()[int(data[0])%len(check.Kinds())]
		if data[0]&0x40 != 0 {
			o.Tolerance = nil
		}
		o.Logged = data[0]&0x20 != 0
		data = data[1:]
	}
	refs := []float64{1413, 500, 5000, 4, 7, 10, 0, 25, -3, math.NaN(), math.Inf(1), 1e-300}
	sizes := []float64{0, 0.001, 0.01, 1, 1e6, -1, math.NaN(), math.Inf(1)}
	events := []Event{"", "", "", Adjusted, Cleaned, Replaced, "shaken"}
	for len(data) >= 8 && len(entries) < 6 {
		e := Entry{Row: len(entries) + 2, Time: noon.Add(-time.Duration(binary.LittleEndian.Uint16(data)) * time.Hour)}
		if data[2] != 255 {
			ref := refs[int(data[2])%len(refs)]
			e.Ref, e.Reading = ptr(ref), ptr(ref*(1+float64(int8(data[3]))/400))
		}
		if data[4]&1 != 0 {
			e.URef = ptr(sizes[int(data[4]/2)%len(sizes)])
		}
		if data[5]&1 != 0 {
			e.URefShared, e.RefSource = ptr(sizes[int(data[5]/2)%len(sizes)]), string(rune('a'+data[5]%3))
		}
		if data[6]&1 != 0 {
			e.UReading = ptr(sizes[int(data[6]/2)%len(sizes)])
		}
		if data[6]&2 != 0 {
			e.Bottle = string(rune('A' + data[6]/64))
		}
		e.Event = events[int(data[7])%len(events)]
		e.State = []State{"", AsFound, AsLeft, ""}[data[7]/64]
		entries, data = append(entries, e), data[8:]
	}
	return entries, o
}

// Whatever the rows, the answer is one error or finite figures, with a next
// check no later than the due day and no later than common practice.
func FuzzRun(f *testing.F) {
	f.Add([]byte{0, 10, 0, 0, 1, 5, 3, 5, 0, 99, 3, 0, 9, 5, 3, 5, 0, 99, 9, 0, 9, 5, 3, 5, 3})
	f.Add([]byte{1, 10, 0, 3, 1, 0, 0, 0, 0, 10, 0, 4, 1, 0, 0, 0, 0, 90, 0, 5, 1, 0, 0, 0, 5, 90, 0, 4, 4, 0, 0, 0, 0})
	f.Add([]byte{0x40, 10, 0, 1, 1, 1, 3, 3, 70, 10, 0, 2, 1, 1, 3, 67, 70, 200, 0, 1, 1, 1, 3, 3, 130, 210, 0, 2, 1, 1, 3, 3, 2})
	f.Add([]byte("\x00\n\x00#0090100000901")) // a reference next to nothing
	f.Fuzz(func(t *testing.T, data []byte) {
		entries, o := decode(data)
		r, err := Run(entries, o)
		if err != nil {
			assert.NotEmpty(t, err.Error())
			return
		}
		for name, x := range map[string]float64{"error": r.Error.Value, "u": r.Error.U, "low": r.Error.Low, "high": r.Error.High,
			"rate": r.Rate.Value, "u rate": r.Rate.U, "ref": r.Ref} {
			require.False(t, math.IsNaN(x) || math.IsInf(x, 0), "%s is %v", name, x)
		}
		require.GreaterOrEqual(t, r.Error.U, 0.0)
		require.NotEmpty(t, r.Why)
		if o.Tolerance != nil {
			require.True(t, r.PWithin >= 0 && r.PWithin <= 1, "%v", r.PWithin)
		}
		require.False(t, r.NextCheck.Before(midnight(o.Now)))
		if !r.Due.IsZero() {
			require.False(t, r.NextCheck.After(r.Due))
		}
		require.False(t, r.NextCheck.After(midnight(o.Now).AddDate(0, 0, r.Practice.Days+1)))
		for _, p := range r.Path {
			require.False(t, math.IsNaN(p.Error) || math.IsNaN(p.Low) || math.IsNaN(p.High), "%v", p)
		}
	})
}
