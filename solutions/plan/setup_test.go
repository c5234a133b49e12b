package plan

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/solutions"
	"github.com/stretchr/testify/require"
)

// given is a figure that a person states.
func given(x float64) *float64 { return &x }

// kitchen is the bench of the README: food-grade salt with a purity of
// 99.5 % ± 0.3 %, a 0.01 g / 200 g scale, water of 8 ± 1 uS/cm.
func kitchen(t testing.TB) Bench {
	t.Helper()
	return benchOf(t, solutions.NaCl,
		JarSpec{Grade: GradeFood, Purity: given(0.995), UPurity: given(0.003)},
		ScaleSpec{StepG: given(0.01), UG: given(0.01), CapacityG: given(200)},
		WaterSpec{EC25: given(8), UEC25: given(1)})
}

// roomy is the kitchen with a scale that takes any of its masses.
func roomy(t testing.TB) Bench {
	t.Helper()
	b := kitchen(t)
	b.Scale.CapacityG = 5000
	return b
}

// exact is a bench on which nothing but the model is uncertain, in pure water.
func exact(t testing.TB, salt solutions.Salt) Bench {
	t.Helper()
	return benchOf(t, salt,
		JarSpec{Purity: given(1), UPurity: given(0), Moisture: given(0), UMoisture: given(0)},
		ScaleSpec{StepG: given(0.0001), UG: given(0), CapacityG: given(5000), ContainerG: given(0), UGain: given(0)},
		WaterSpec{EC25: given(0), UEC25: given(0), TempC: given(20), UTempC: given(0)})
}

func benchOf(t testing.TB, salt solutions.Salt, j JarSpec, s ScaleSpec, w WaterSpec) Bench {
	t.Helper()
	jar, err := NewJar(salt, j)
	require.NoError(t, err)
	scale, err := NewScale(s)
	require.NoError(t, err)
	water, err := NewWater(w)
	require.NoError(t, err)
	return Bench{Jar: jar, Scale: scale, Water: water}
}

func parse(t testing.TB, texts ...string) []quantity.Quantity {
	t.Helper()
	var out []quantity.Quantity
	for _, text := range texts {
		q, err := quantity.Parse(text)
		require.NoError(t, err)
		out = append(out, q)
	}
	return out
}

func request(t testing.TB, b Bench, batch string, targets ...string) Request {
	t.Helper()
	return Request{Bench: b, Targets: parse(t, targets...), Batch: parse(t, batch)[0], MaxU: 0.01, Route: Auto}
}

// published reads a table of published values by column; lines that start with
// # say where it comes from.
func published(t *testing.T, name string) []map[string]float64 {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "testdata", "published", name))
	require.NoError(t, err)
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	records, err := r.ReadAll()
	require.NoError(t, err)
	var rows []map[string]float64
	for _, record := range records[1:] {
		row := map[string]float64{}
		for i, column := range records[0] {
			if x, err := strconv.ParseFloat(record[i], 64); err == nil {
				row[column] = x
			}
		}
		rows = append(rows, row)
	}
	require.NotEmpty(t, rows)
	return rows
}
