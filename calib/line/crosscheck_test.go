package line

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Where R, a general-purpose statistics package, is installed, its lm() and ours agree on random
// data to nine digits: ordinary, through zero and weighted (whose standard errors R scales by the
// residuals, which is undone here). Elsewhere the test is skipped.
func TestAgainstR(t *testing.T) {
	rscript, err := exec.LookPath("Rscript")
	if err != nil {
		require.Empty(t, os.Getenv("BRINEMARK_REQUIRE_ALL"), "Rscript is not installed, and nothing may be skipped")
		t.Skip("Rscript is not installed: no cross-check against R")
	}
	rng := rand.New(rand.NewPCG(17, 4))
	for range 5 {
		n := 4 + rng.IntN(8)
		var x, y, u []float64
		for i := range n {
			x = append(x, 100*float64(i+1)+rng.Float64())
			u = append(u, 0.5+rng.Float64())
			y = append(y, 3+1.02*x[i]+u[i]*rng.NormFloat64())
		}
		script := fmt.Sprintf(`x<-c(%s);y<-c(%s);u<-c(%s)
p<-function(m,s=1) cat(sprintf("%%.15e",c(coef(m),sqrt(diag(vcov(m)))/s)),"\n")
p(lm(y~x)); p(lm(y~0+x)); m<-lm(y~x,weights=1/u^2); p(m,summary(m)$sigma)`, join(x), join(y), join(u))
		var out bytes.Buffer
		cmd := exec.Command(rscript, "--vanilla", "-e", script)
		cmd.Stdout = &out
		require.NoError(t, cmd.Run())
		lines := strings.Split(strings.TrimSpace(out.String()), "\n")
		require.Len(t, lines, 3)
		p := Points{X: x, Y: y, CovY: diagonal(t, u...)}
		ols, err := Ordinary(Points{X: x, Y: y})
		require.NoError(t, err)
		same(t, lines[0], ols.Intercept, ols.Slope, ols.UIntercept, ols.USlope)
		gain, err := Gain(Points{X: x, Y: y})
		require.NoError(t, err)
		same(t, lines[1], gain.Slope, gain.USlope)
		weighted, err := Weighted(p)
		require.NoError(t, err)
		same(t, lines[2], weighted.Intercept, weighted.Slope, weighted.UIntercept, weighted.USlope)
	}
}

func join(v []float64) string {
	s := make([]string, len(v))
	for i, x := range v {
		s[i] = strconv.FormatFloat(x, 'g', 17, 64)
	}
	return strings.Join(s, ",")
}

func same(t *testing.T, line string, got ...float64) {
	t.Helper()
	fields := strings.Fields(line)
	require.Len(t, fields, len(got))
	for i, f := range fields {
		want, err := strconv.ParseFloat(f, 64)
		require.NoError(t, err)
		require.InDelta(t, want, got[i], 1e-9*math.Max(1, math.Abs(want)))
	}
}
