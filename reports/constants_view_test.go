package reports

import (
	"strings"
	"testing"

	"github.com/brinemark/brinemark/calib/tempcomp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// kept is the most that a parser which reads from left to right has to keep of a
// sum of products: each bracket that is open, and before it each term and
// operator that wait for what is in it.
func kept(expression string) (most int) {
	var waiting []rune
	for _, c := range expression {
		switch c {
		case '(':
			waiting = append(waiting, c)
		case ')':
			for waiting[len(waiting)-1] != '(' {
				waiting = waiting[:len(waiting)-1]
			}
			waiting = waiting[:len(waiting)-1]
		case '+', '-', '*', '/':
			product := func(c rune) bool { return c == '*' || c == '/' }
			for n := len(waiting); n > 0 && waiting[n-1] != '(' && (product(waiting[n-1]) || !product(c)); n-- {
				waiting = waiting[:n-1]
			}
			waiting = append(waiting, c)
		}
		size := 1
		for _, w := range waiting {
			if size++; w != '(' {
				size++
			}
		}
		most = max(most, size)
	}
	return most
}

func TestKept(t *testing.T) {
	assert.Equal(t, 1, kept("a"))
	assert.Equal(t, 5, kept("a + b * c"))
	assert.Equal(t, 3, kept("a * b + c"))
	assert.Equal(t, 8, kept("a + b * (c + d)"))
	assert.Equal(t, 4, kept("((c) * d + a)"))
}

// SQLite's parser, unless it is recent, keeps 100 things at most (YYSTACKDEPTH),
// and gives up with "parser stack overflow" beyond. A polynomial that stands in
// the middle of the view must leave most of that.
func TestPolynomialsAreReadFromTheLeft(t *testing.T) {
	form, err := formOf(tempcomp.NaturalWater{}, fineDegree, 1e-11)
	require.NoError(t, err)
	value, slope := form.sql("t")
	exponents := strings.NewReplacer("e-", "e", "e+", "e")
	for _, text := range []string{value, slope} {
		assert.GreaterOrEqual(t, strings.Count(text, "*"), fineDegree-1)
		assert.LessOrEqual(t, kept(exponents.Replace(text)), 30, text)
	}
}
