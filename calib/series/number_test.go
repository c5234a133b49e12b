package series

import (
	"encoding/binary"
	"fmt"
	"math"
	"math/big"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Numbers are read as strconv reads them, bit for bit, but for what no log means
// by a number: hexadecimal, the words inf and nan, underscores.
func FuzzNumber(f *testing.F) {
	for _, seed := range []string{"1200.5", "-0", "0.1", "123456789012345", "1234567890123456", "9007199254740993", "1e22", "1e23", "1e-400", "1e400", ".5", "5.", ".", "-", "+5", "", " 7 ", "1_0", "0x1p-2", "Inf", "nan", "1.2.3", "1,5", "00000000000000000001", "0.00000000000000000000001", "\u00a07"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		got, flag := number([]byte(text), '.')
		bare := strings.TrimSpace(text)
		want, err := strconv.ParseFloat(bare, 64)
		refused := err != nil || math.IsInf(want, 0) || math.IsNaN(want) || strings.ContainsAny(bare, "xX_")
		switch {
		case bare == "":
			assert.Equal(t, Blank, flag)
		case refused:
			assert.Equal(t, NotANumber, flag)
		default:
			assert.Equal(t, Believed, flag)
			assert.Equal(t, math.Float64bits(want), math.Float64bits(got), "%v and %v", want, got)
		}
		if flag != Believed {
			assert.True(t, math.IsNaN(got))
		}
		// With a decimal comma: the same number written with one, and no other.
		comma, commaFlag := number([]byte(strings.ReplaceAll(text, ".", ",")), ',')
		if !strings.Contains(text, ",") {
			assert.Equal(t, flag, commaFlag)
			assert.Equal(t, math.Float64bits(got), math.Float64bits(comma))
		}
		if strings.Contains(bare, ".") {
			_, flag := number([]byte(text), ',')
			assert.NotEqual(t, Believed, flag, "a point is no decimal comma: it may stand between thousands")
		}
	})
}

// A number is written to its digits: within half of the last one, and read back
// as such by strconv.
func FuzzAppendNumber(f *testing.F) {
	for _, seed := range []float64{0, 1, -1, 0.1, 1200.5, 9.9999999999, 99999.999999, 1e-4, 9.99999999999e-5, 999999999.99999, 1e9, 1e300, 5e-324, -0.00123456789012, math.Pi} {
		f.Add(seed, byte(9))
	}
	f.Fuzz(func(t *testing.T, x float64, d byte) {
		digits := 1 + int(d)%12
		text := string(appendNumber(nil, x, digits, '.'))
		if math.IsNaN(x) || math.IsInf(x, 0) {
			assert.Empty(t, text)
			return
		}
		got, _, err := big.ParseFloat(text, 10, 200, big.ToNearestEven)
		require.NoError(t, err)
		exact := new(big.Float).SetPrec(200).SetFloat64(x)
		off, _ := new(big.Float).Sub(got, exact).Float64()
		limit := 0.5
		if x != 0 {
			// Half of the last of the digits, and the rounding of one product.
			limit = 0.5*math.Pow(10, math.Floor(math.Log10(math.Abs(x)))+1-float64(digits))*(1+1e-9) + 2e-16*math.Abs(x)
		}
		assert.LessOrEqual(t, math.Abs(off), limit, "%q for %v", text, x)
		significant := strings.TrimLeft(strings.ReplaceAll(strings.TrimLeft(strings.Split(text, "e")[0], "-"), ".", ""), "0")
		whole := len(strings.Split(strings.TrimLeft(text, "-"), ".")[0])
		if x != 0 && digits > 1 {
			assert.GreaterOrEqual(t, len(significant), digits, "%q", text)
			assert.LessOrEqual(t, len(significant), max(digits+1, whole), "%q", text)
		}
		comma := string(appendNumber([]byte("x"), x, digits, ','))
		assert.Equal(t, "x"+strings.ReplaceAll(text, ".", ","), comma)
	})
}

// Worked by hand.
func TestAppendNumber(t *testing.T) {
	for want, x := range map[string]float64{
		"1224.510000": 1224.51, "0.001234567890": 0.00123456789, "-6.208818952": -6.2088189523, "10.000000000": 9.99999999999, "0": 0, "1.000000000": 1,
		"123456789.1": 123456789.1234, "1.234567891e+09": 1234567890.9, "1.000000000e-05": 1e-5, "0.0001000000000": 1e-4,
	} {
		assert.Equal(t, want, string(appendNumber(nil, x, ValueDigits, '.')))
	}
	assert.Equal(t, "0", string(appendNumber(nil, math.Copysign(0, -1), ValueDigits, '.')))
	assert.Equal(t, "12.35", string(appendNumber(nil, 12.345678, UncertaintyDigits, '.')))
	assert.Equal(t, "12346", string(appendNumber(nil, 12345.678, UncertaintyDigits, '.')), "digits before the mark are not cut")
}

// Every number of eight digits, by steps that reach all digits in all places.
func TestEightDigits(t *testing.T) {
	for n := uint64(0); n < 1e8; n += 1237 {
		var word [8]byte
		binary.LittleEndian.PutUint64(word[:], eightDigits(n))
		require.Equal(t, fmt.Sprintf("%08d", n), string(word[:]))
	}
	var word [8]byte
	binary.LittleEndian.PutUint64(word[:], eightDigits(99999999))
	assert.Equal(t, "99999999", string(word[:]))
}

func BenchmarkNumber(b *testing.B) {
	text := []byte("1200.5")
	b.Run("here", func(b *testing.B) {
		for b.Loop() {
			number(text, '.')
		}
	})
	b.Run("strconv", func(b *testing.B) {
		for b.Loop() {
			strconv.ParseFloat(string(text), 64)
		}
	})
}

func BenchmarkAppendNumber(b *testing.B) {
	var buf []byte
	b.Run("here", func(b *testing.B) {
		for b.Loop() {
			buf = appendNumber(buf[:0], 1224.510123, ValueDigits, '.')
		}
	})
	b.Run("strconv", func(b *testing.B) {
		for b.Loop() {
			buf = strconv.AppendFloat(buf[:0], 1224.510123, 'g', ValueDigits, 64)
		}
	})
}
