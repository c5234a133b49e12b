package main

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/brinemark/brinemark/calib/series"
	"github.com/brinemark/brinemark/reports"
	"github.com/brinemark/brinemark/testdata/engines/cases"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// compilers are those that a header has to please, with what they are told.
var compilers = []struct {
	program, file string
	flags         []string
}{
	{"cc", "main.c", []string{"-std=c99", "-Wall", "-Wextra", "-Wpedantic", "-Werror", "-Wconversion", "-Wdouble-promotion"}},
	{"c++", "main.cc", []string{"-std=c++11", "-Wall", "-Wextra", "-Wpedantic", "-Werror", "-Wconversion", "-Wdouble-promotion"}},
}

// hostileNames are names of meters that would break a header or a script if
// they were taken over as they are.
func hostileNames() []string {
	return []string{
		"", "*/ #error", "/* nested", `"`, `\`, "??/", "line\nbreak", "a\r\nb\x00c", "1st", "int", "pH-Sonde №3", "Лампа", "\xff\xfe", "tent pen", "tent_pen", "tent-pen",
		"_", "__", "a__b", "p1_", "\u212a1", "k1", strings.Repeat("x", 10000), strings.Repeat("*/", 5000), strings.Repeat("\n", 10000), "'); DROP TABLE log; --", "\u202egnp.exe", "%s%n",
	}
}

// headers is a folder of headers and a program that uses all of them.
type headers struct {
	t        *testing.T
	folder   string
	includes strings.Builder
	body     strings.Builder
	words    map[string]string // to the meter of each
	n        int
}

func (h *headers) add(m *reports.MeterConstants, at time.Time) (word string) {
	h.t.Helper()
	text, err := m.C(at)
	require.NoError(h.t, err, m.Meter)
	found := regexp.MustCompile(`(?m)^static inline int (brinemark_[0-9a-z_]+)_in_range\(float reading\) \{$`).FindStringSubmatch(text)
	require.NotNil(h.t, found, text)
	word = found[1]
	assert.LessOrEqual(h.t, len(word)+len("_temp_in_range"), 63, "C99 tells no longer names apart")
	assert.NotContains(h.t, word, "__", "C++ keeps such names for itself")
	require.NotContains(h.t, h.words, word, "%.60q and %.60q", m.Meter, h.words[word])
	h.words[word] = m.Meter
	name := fmt.Sprintf("h%d.h", h.n)
	h.n++
	require.NoError(h.t, os.WriteFile(filepath.Join(h.folder, name), []byte(text), 0o600))
	for range 2 { // the guard lets it be included twice
		fmt.Fprintf(&h.includes, "#include \"%s\"\n", name)
	}
	return word
}

// run compiles the program and returns its lines.
func (h *headers) run(compiler int) []string {
	h.t.Helper()
	c := compilers[compiler]
	program, err := exec.LookPath(c.program)
	if err != nil {
		skipWithout(h.t, c.program+" is not installed")
	}
	source := filepath.Join(h.folder, c.file)
	text := h.includes.String() + "#include <stdio.h>\nint main(void) {\n" + h.body.String() + "\treturn 0;\n}\n"
	require.NoError(h.t, os.WriteFile(source, []byte(text), 0o600))
	out := filepath.Join(h.folder, c.program+".out")
	said, err := exec.Command(program, append(c.flags, "-o", out, source)...).CombinedOutput() // no library but C's own: not even -lm
	require.NoError(h.t, err, "%.3000s", said)
	lines, err := exec.Command(out).Output()
	require.NoError(h.t, err)
	return strings.Split(strings.TrimSpace(string(lines)), "\n")
}

func newHeaders(t *testing.T) *headers {
	return &headers{t: t, folder: t.TempDir(), words: map[string]string{}}
}

func TestCCompilesWithAnyName(t *testing.T) {
	h := newHeaders(t)
	c := aCase(t, "no compensation")
	for _, name := range hostileNames() {
		m := c.Meter
		m.Meter = name
		m.Calibrations = append([]series.Calibration(nil), m.Calibrations...)
		for i := range m.Calibrations {
			m.Calibrations[i].Name = name
		}
		m.Unit = name
		h.add(&m, time.Date(2025, 1, 20, 0, 0, 0, 0, time.UTC))
	}
	h.body.WriteString("\tputs(\"compiled\");\n")
	for i, c := range compilers {
		t.Run(c.program, func(t *testing.T) {
			h.t = t
			assert.Equal(t, []string{"compiled"}, h.run(i))
		})
	}
}

// A float has 24 bits.
const floatEps = 1.0 / (1 << 23)

// want is what a line of the program should say.
type want struct {
	meter                   string
	reading, temp           float64
	value, variance         float64
	roundingV, roundingU    float64
	inRange, tempOK, isLate bool
}

func TestCAgreesWithTheCorrector(t *testing.T) {
	all, err := cases.All(time.Second)
	require.NoError(t, err)
	h := newHeaders(t)
	r := rand.New(rand.NewPCG(8, 9))
	var wants []want
	for i, c := range all {
		for j, piece := range c.Meter.Probe.Timeline.Pieces() {
			at := time.Unix(0, piece.From).UTC().Add(time.Duration(r.IntN(36)) * time.Hour)
			if piece.To < at.UnixNano() {
				at = time.Unix(0, piece.From).UTC()
			}
			m := c.Meter
			m.Meter = fmt.Sprintf("case %d piece %d", i, j)
			wants = append(wants, h.uses(&m, at, piece, r)...)
		}
	}
	require.Greater(t, len(wants), 500)
	for i, c := range compilers {
		t.Run(c.program, func(t *testing.T) {
			h.t = t
			lines := h.run(i)
			require.Len(t, lines, len(wants))
			for k, w := range wants {
				w.check(t, lines[k])
			}
		})
	}
}

// uses writes a header, uses all of it, and tells what must come out: what the
// corrector says, of readings and temperatures that a float holds.
func (h *headers) uses(m *reports.MeterConstants, at time.Time, piece series.Piece, r *rand.Rand) (wants []want) {
	word := h.add(m, at)
	p := m.Probe
	corrector, err := series.NewCorrector(p)
	require.NoError(h.t, err)
	plain := *p // the same without the temperature
	plain.Conversion = series.Conversion{Factor: p.Conversion.Factor}
	plainCorrector, err := series.NewCorrector(&plain)
	require.NoError(h.t, err)
	needs := p.Conversion.NeedsTemperature()
	line := piece.LineAt(at.UnixNano())
	readings := []float64{piece.Low, piece.High, p.High, -1, math.NaN()}
	for range 5 {
		readings = append(readings, piece.Low+1.1*(piece.High-piece.Low)*r.Float64())
	}
	for _, reading := range readings {
		w := want{meter: m.Meter, reading: float64(float32(reading)), temp: float64(float32(40 * r.Float64()))}
		if needs && r.IntN(5) == 0 {
			w.temp = 60
		}
		var flag series.Flag
		w.value, _, _ = corrector.At(at.UnixNano(), w.reading, w.temp)
		_, w.variance, flag = plainCorrector.At(at.UnixNano(), w.reading, math.NaN())
		_, _, exact := plainCorrector.At(at.UnixNano(), reading, math.NaN()) // a bound is rounded as the reading is
		w.variance *= w.variance
		w.inRange = !math.IsNaN(reading) && exact != series.OutOfRange
		w.isLate = flag == series.Stale
		size := math.Abs(line.Intercept) + math.Abs(line.Slope*w.reading)
		w.roundingV, w.roundingU = 3*floatEps*size, 20*floatEps*w.variance
		_, w.tempOK = limits(p, w.temp)
		correct, tempOK, stale, variance := "%s_correct(%s)", "1", "0", "-1.0f"
		if needs {
			correct, tempOK = "%s_correct(%s, "+cFloat(w.temp)+")", fmt.Sprintf("%s_temp_in_range(%s)", word, cFloat(w.temp))
			ratio := w.value / (line.Intercept + line.Slope*w.reading)
			w.roundingV *= 4 * math.Abs(ratio)
		} else if p.Conversion.Factor > 0 {
			w.roundingV *= 2 * p.Conversion.Factor
		}
		if p.StaleAfter > 0 {
			stale = fmt.Sprintf("%s_is_stale(%d)", word, at.Unix())
		}
		if !math.IsNaN(line.VarIntercept) {
			variance = fmt.Sprintf("%s_variance(%s)", word, cFloat(w.reading))
		}
		fmt.Fprintf(&h.body, "\tprintf(\"%%.9g %%.9g %%d %%d %%d\\n\", (double)"+correct+", (double)%s, %s_in_range(%s), %s, %s);\n",
			word, cFloat(w.reading), variance, word, cFloat(w.reading), tempOK, stale)
		wants = append(wants, w)
	}
	return wants
}

// limits tells whether a probe's compensation takes a temperature.
func limits(p *series.Probe, temp float64) (needed, ok bool) {
	if !p.Conversion.NeedsTemperature() {
		return false, true
	}
	a, b := p.Conversion.Does.TempRange(), p.Conversion.Wanted.TempRange()
	return true, temp >= max(a.Low, b.Low) && temp <= min(a.High, b.High)
}

// cFloat writes a constant of C; a number that is none is made of zeros.
func cFloat(x float64) string {
	if math.IsNaN(x) {
		return "(0.0f / 0.0f)"
	}
	return strconv.FormatFloat(x, 'e', 9, 32) + "f"
}

func (w want) check(t *testing.T, line string) {
	t.Helper()
	f := strings.Fields(line)
	require.Len(t, f, 5, line)
	number := func(text string) float64 {
		x, err := strconv.ParseFloat(strings.ReplaceAll(text, "-nan", "nan"), 64)
		require.NoError(t, err, line)
		return x
	}
	one := func(yes bool) string {
		if yes {
			return "1"
		}
		return "0"
	}
	if value := number(f[0]); !math.IsNaN(w.reading) && w.tempOK {
		assert.InDelta(t, w.value, value, w.roundingV, "%+v", w)
	}
	if variance := number(f[1]); variance != -1 && !math.IsNaN(w.reading) {
		assert.InDelta(t, w.variance, variance, w.roundingU, "%+v", w)
	} else if variance == -1 {
		assert.True(t, math.IsNaN(w.variance), "%+v", w)
	}
	assert.Equal(t, one(w.inRange), f[2], "in range: %+v", w)
	assert.Equal(t, one(w.tempOK), f[3], "temperature in range: %+v", w)
	assert.Equal(t, one(w.isLate), f[4], "stale: %+v", w)
}
