package check

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/conformity"
)

func TestAdvice(t *testing.T) {
	temp := func(rows []Row, temps ...float64) []Row {
		for i := range rows {
			rows[i].TempC = pointer(temps[i])
		}
		return rows
	}
	for _, c := range []struct {
		name    string
		rows    []Row
		o       Options
		verdict conformity.Verdict
		first   string
		has     []string
		hasNot  []string
	}{
		{"within: leave it", stated(plain(706, 707, 1413, 1412, 2767, 2770), 2, 2), Options{Tolerance: relative(0.02)},
			conformity.Pass, "within tolerance at every reference", []string{"leave it as it is"}, []string{"thermometer", "adjust", "a correction still"}},
		{"within, but a correction shows", stated(plain(706, 697, 1413, 1396, 2767, 2735), 1, 1), Options{Tolerance: relative(0.02)},
			conformity.Pass, "within tolerance", []string{"a correction still improves it: corrected ="}, []string{"thermometer"}},
		{"a gain out of adjustment", temp(stated(plain(706, 668, 1413, 1336, 2767, 2616), 2, 2), 22, 22.4, 22.8), Options{Tolerance: relative(0.02)},
			conformity.Fail, "first the thermometer: half a degree wrong is one percent of conductivity; check that 22.4 C is right",
			[]string{"set it in the reference of 1413 so that it shows 1413 where it shows 1336 now (+5.8 %)", "% of the tolerance", "correct what it shows", "corrected =", "as-left"}, []string{"clean"}},
		{"temperatures apart", temp(stated(plain(706, 668, 1413, 1336, 2767, 2616), 2, 2), 18, 22, 25), Options{Tolerance: relative(0.02)},
			conformity.Fail, "first the thermometer", []string{"between 18.0 and 25.0 C"}, nil},
		{"gain and zero: one trim is not enough", stated(plain(706, 500, 1413, 1300, 2767, 2832), 2, 2), Options{Tolerance: relative(0.02)},
			conformity.Fail, "the error is gross", []string{"one trim is not enough", "gross", "clean the probe", "replace the probe if it stays"}, nil},
		{"one wild point", stated(plain(706, 708, 1413, 1415, 2767, 2500, 5000, 5005, 8000, 8010), 4, 4), Options{Tolerance: relative(0.03)},
			conformity.Fail, "the reference of 2767 does not fit the others", []string{"do not use or save the line", "weigh or remake it"}, []string{"corrected =", "adjust:"}},
		{"undecided: the stock", sharing(stated(plain(706, 695, 1413, 1391, 2767, 2722), 1, 1), 14), Options{Tolerance: relative(0.02)},
			conformity.Undecided, "first the thermometer", []string{"undecided (probability", "would decide: a reference from another source", "no further reading shrinks it"}, nil},
		{"undecided: the readings", stated(plain(706, 702, 1413, 1402, 2767, 2752), 1, 30), Options{Tolerance: relative(0.02)},
			conformity.Undecided, "first the thermometer", []string{"read each reference several more times"}, nil},
		{"undecided: the references", stated(plain(706, 702, 1413, 1402, 2767, 2752), 30, 1), Options{Tolerance: relative(0.02)},
			conformity.Undecided, "first the thermometer", []string{"better known references"}, nil},
		{"nothing known", plain(1413, 1380), Options{Tolerance: relative(0.02)},
			conformity.Undecided, "first the thermometer", []string{"nothing shows how sure the readings are", "one reference cannot show"}, nil},
		{"a thermometer: shift it", stated(plain(0, 0.8, 20, 20.8, 40, 40.7), 0.05, 0.05), Options{Kind: Temperature, Tolerance: absolute(0.5)},
			conformity.Fail, "a zero error: it shows about 0.77 too much at every reference", []string{"(-0.7)"}, []string{"first the thermometer"}},
		{"no tolerance", plain(706, 690, 1413, 1380, 2767, 2710), Options{}, "", "no tolerance was given", []string{"corrected ="}, nil},
	} {
		r := must(t, c.rows, c.o)
		all := strings.Join(r.Advice, "\n")
		require.Equal(t, c.verdict, r.Verdict, "%s: %s", c.name, all)
		require.True(t, strings.HasPrefix(r.Advice[0], c.first), "%s: %s", c.name, all)
		for _, h := range c.has {
			require.Contains(t, all, h, c.name)
		}
		for _, h := range c.hasNot {
			require.NotContains(t, all, h, c.name)
		}
	}
}

// The bottle named for a trim is the one that leaves least: by trying it.
func TestTrimIsTheBest(t *testing.T) {
	rows := stated(plain(706, 690, 1413, 1340, 2767, 2600, 5000, 4600), 2, 2)
	r := must(t, rows, Options{Tolerance: relative(0.02)})
	best, ok := r.gainTrim()
	require.True(t, ok)
	for _, at := range rows {
		var worst float64
		for _, row := range rows {
			left := row.Reading*at.Ref/at.Reading/row.Ref - 1
			worst = max(worst, left/0.02, -left/0.02)
		}
		require.GreaterOrEqual(t, worst, best.left-1e-12)
	}
}
