package solutions

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"github.com/brinemark/brinemark/calib/uncert"
)

func bufferRows(t *testing.T) map[string][]publishedRow {
	t.Helper()
	byName := make(map[string][]publishedRow)
	for _, row := range publishedRows(t, "ph_buffers.csv") {
		byName[row.text("buffer")] = append(byName[row.text("buffer")], row)
	}
	require.Len(t, byName, 10)
	return byName
}

// Covington, Bates & Durst 1985, IUPAC 2002 and the bottle table: every entry
// to its printed digits.
func TestBuffersReproduceEveryPublishedEntry(t *testing.T) {
	n := 0
	for name, rows := range bufferRows(t) {
		b, err := BufferByName(name)
		require.NoError(t, err)
		for _, row := range rows {
			pH, err := b.PH(row.float("t_C"))
			require.NoError(t, err)
			assert.Equal(t, b.Decimals, row.digits("pH"), name)
			assert.Equal(t, row.text("pH"), strconv.FormatFloat(pH, 'f', b.Decimals, 64), "%s at %s C", name, row.text("t_C"))
			p, err := b.At(uncert.Exact(row.float("t_C")))
			require.NoError(t, err)
			assert.InDelta(t, row.float("u"), p.Value.U(), 1e-12, "u of %s at %s C", name, row.text("t_C"))
			n++
		}
	}
	assert.Equal(t, 96, n)
}

// The coefficients in buffer_table.go are those of the lowest degree that
// rounds to every entry of the published table.
func TestBufferCoefficientsFollowFromTheTable(t *testing.T) {
	for name, rows := range bufferRows(t) {
		b, err := BufferByName(name)
		require.NoError(t, err)
		var fitted []float64
		for degree := 1; degree < len(rows)-1; degree++ {
			fitted = polynomialFit(t, rows, degree)
			if roundsToTable(rows, fitted) {
				break
			}
		}
		require.Len(t, b.coefficients, len(fitted), "degree of %s", name)
		assert.InDeltaSlice(t, fitted, b.coefficients, 6e-8, name)
	}
}

func polynomialFit(t *testing.T, rows []publishedRow, degree int) []float64 {
	t.Helper()
	a, y := mat.NewDense(len(rows), degree+1, nil), mat.NewVecDense(len(rows), nil)
	for i, row := range rows {
		for j := 0; j <= degree; j++ {
			a.Set(i, j, math.Pow((row.float("t_C")-25)/25, float64(j)))
		}
		y.SetVec(i, row.float("pH"))
	}
	var c mat.VecDense
	require.NoError(t, c.SolveVec(a, y))
	return c.RawVector().Data
}

func roundsToTable(rows []publishedRow, c []float64) bool {
	for _, row := range rows {
		if strconv.FormatFloat(polynomial(c, (row.float("t_C")-25)/25), 'f', row.digits("pH"), 64) != row.text("pH") {
			return false
		}
	}
	return true
}

// Values between and beside the entries the coefficients were fitted to.
// Bottle buffers at 10, 30 and 45 C: instrument manuals, from memory, printed
// to 0.01. Others at 38 C: NBS SP 260-53 table, from memory; its generation of
// phthalate differs by up to 0.004 from this one.
func TestBuffersAtTemperaturesOutsideTheFit(t *testing.T) {
	cases := []struct {
		buffer        string
		tempC, pH, by float64
	}{
		{"4.00", 10, 4.00, 0.01}, {"4.00", 30, 4.01, 0.01}, {"4.00", 45, 4.04, 0.01},
		{"7.00", 10, 7.06, 0.01}, {"7.00", 30, 6.99, 0.01}, {"7.00", 45, 6.97, 0.01},
		{"10.01", 10, 10.18, 0.01}, {"10.01", 30, 9.97, 0.01}, {"10.01", 45, 9.86, 0.01},
		{"tartrate", 38, 3.548, 0.001}, {"phthalate", 38, 4.027, 0.004},
		{"phosphate", 38, 6.840, 0.001}, {"phosphate-3.5", 38, 7.384, 0.001}, {"borax", 38, 9.081, 0.001},
	}
	for _, c := range cases {
		b, err := BufferByName(c.buffer)
		require.NoError(t, err)
		pH, err := b.PH(c.tempC)
		require.NoError(t, err)
		assert.InDelta(t, c.pH, pH, c.by, "%s at %v C", c.buffer, c.tempC)
	}
}

// The bottle buffer 10.01 has the composition of the carbonate standard, and
// 4.00 that of phthalate: two tables of one liquid must agree.
func TestBottleBuffersAgreeWithTheStandardOfTheSameComposition(t *testing.T) {
	for bottle, standard := range map[string]string{"10.01": "carbonate", "4.00": "phthalate"} {
		b, err := BufferByName(bottle)
		require.NoError(t, err)
		s, err := BufferByName(standard)
		require.NoError(t, err)
		for tempC := 0.0; tempC <= 50; tempC += 0.5 {
			x, err := b.PH(tempC)
			require.NoError(t, err)
			y, err := s.PH(tempC)
			require.NoError(t, err)
			assert.InDelta(t, y, x, 0.01, "%s at %v C", bottle, tempC)
		}
	}
}

// Ordered as the names say at every temperature where both exist.
func TestBuffersKeepTheirOrder(t *testing.T) {
	order := []string{"tetroxalate", "tartrate", "phthalate", "phosphate", "phosphate-3.5", "borax", "carbonate"}
	for tempC := 25.0; tempC <= 50; tempC++ {
		last := 0.0
		for _, name := range order {
			b, err := BufferByName(name)
			require.NoError(t, err)
			pH, err := b.PH(tempC)
			require.NoError(t, err)
			assert.Greater(t, pH, last, "%s at %v C", name, tempC)
			last = pH
		}
	}
}

func TestBufferCarriesTheTemperatureUncertainty(t *testing.T) {
	b, err := BufferByName("borax")
	require.NoError(t, err)
	temp := uncert.Must(uncert.New(20, 1, uncert.Source{ID: TemperatureID, Label: "thermometer"}))
	p, err := b.At(temp)
	require.NoError(t, err)
	// From the table, 9.225 at 20 C lies between 9.276 at 15 C and 9.180 at 25 C.
	assert.InDelta(t, (9.180-9.276)/10, p.Value.Part(TemperatureID), 0.0003)
	assert.InDelta(t, math.Hypot(0.003, 0.0096), p.Value.U(), 0.0003)

	unstated, err := b.At(uncert.Unstated(20, uncert.Source{ID: TemperatureID, Label: "thermometer"}))
	require.NoError(t, err)
	assert.InDelta(t, 0.003, unstated.Value.U(), 1e-12)
	require.Len(t, unstated.Value.Unstated(), 1)

	home, err := b.HomeMixed().At(uncert.Exact(20))
	require.NoError(t, err)
	assert.InDelta(t, math.Hypot(0.003, 0.010), home.Value.U(), 1e-12)
	again, err := b.At(uncert.Exact(20))
	require.NoError(t, err)
	assert.InDelta(t, 0.003, again.Value.U(), 1e-12, "HomeMixed leaves the buffer as it was")
}

func TestBuffersRefuseWhatTheyDoNotCover(t *testing.T) {
	for _, c := range []struct {
		buffer string
		tempC  float64
	}{{"tartrate", 24.9}, {"tartrate", 18}, {"phthalate", -0.1}, {"phthalate", 50.1}, {"4.00", 77}, {"7.00", math.NaN()}} {
		b, err := BufferByName(c.buffer)
		require.NoError(t, err)
		_, err = b.PH(c.tempC)
		assert.ErrorIs(t, err, ErrOutOfRange, "%s at %v", c.buffer, c.tempC)
		_, err = b.At(uncert.Exact(c.tempC))
		assert.ErrorIs(t, err, ErrOutOfRange, "%s at %v", c.buffer, c.tempC)
	}
	_, err := BufferByName("pH9")
	var unknown *UnknownNameError
	require.ErrorAs(t, err, &unknown)
	assert.Equal(t, `no buffer is called "pH9"; there are tetroxalate, tartrate, phthalate, phosphate, phosphate-3.5, borax, carbonate, 4.00, 7.00, 10.01`, err.Error())
}

// A pH in place of a name: the error says which buffer has it. A bottle marked
// 10.00 is refused, with the reason.
func TestBufferNamesThatAreAPH(t *testing.T) {
	for name, want := range map[string]string{
		"7": "7.00", "7.0": "7.00", "pH 7": "7.00", "pH7.00": "7.00", "6.86": "phosphate", "6.865": "phosphate", "4": "4.00", "4.0": "4.00", "4.01": "phthalate",
		"4.005": "phthalate", "9.18": "borax", "1.68": "tetroxalate", "7.41": "phosphate-3.5", "10": "borate", "10.00": "borate", "10.0": "10.01",
	} {
		_, err := BufferByName(name)
		var unknown *UnknownNameError
		require.ErrorAs(t, err, &unknown, name)
		assert.Contains(t, unknown.Hint, want, name)
		assert.ErrorContains(t, err, unknown.Hint, name)
	}
	for pH, hint := range bufferHints {
		if pH == 10 {
			continue
		}
		name := strings.TrimSuffix(strings.Fields(hint)[1], ",")
		b, err := BufferByName(name)
		require.NoError(t, err, "the hint for %v names a buffer", pH)
		is, err := b.PH(25)
		require.NoError(t, err)
		assert.InDelta(t, pH, is, 0.0101, "%v is %s", pH, name)
	}
	_, err := BufferByName(strings.Repeat("x", 10000))
	assert.Less(t, len(err.Error()), 250, "a long name is not said in full")
}

// Only the buffers from bought powders have steps, never oxalate.
func TestBuffersMadeAtHome(t *testing.T) {
	safe := map[string]bool{"phthalate": true, "phosphate": true, "borax": true, "carbonate": true, "4.00": true, "7.00": true, "10.01": true}
	for _, b := range Buffers() {
		if safe[b.Name] {
			assert.NotEmpty(t, b.Making.Steps, b.Name)
			assert.NotEmpty(t, b.Making.Cautions, b.Name)
			assert.Empty(t, b.Making.NotAtHome, b.Name)
		} else {
			assert.Empty(t, b.Making.Steps, b.Name)
			assert.NotEmpty(t, b.Making.NotAtHome, b.Name)
		}
	}
}
