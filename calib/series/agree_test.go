package series

import (
	"math/rand/v2"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// FuzzCorrect holds the engine against the reference, for any text and any size
// of blocks: the same fields, every byte of the log, the same errors.
func FuzzCorrect(f *testing.F) {
	for _, seed := range []string{
		"time,ec,temp,ph\n2026-03-05T08:00:00Z,1200.5,21,6.1\n\n2026-03-05T08:01:00Z,,21,x\n",
		"\uFEFFtime;ec;temp;ph;note\r\n2026-03-05 08:00;1200,5;21;6,1;\"a;\r\nb\"\r\n2026-03-05 08:01;1,5e3;;7;\r\n",
		"\n\nnote\ttime\tph\ttemp\tec\n\t1772353800\t6.1\t20.5\t1e3",
		" time ,\"ec\",temp,ph\n2026-03-05T08:00:00+05:30, 1200 ,\"2\"\"1\",6\n2026-03-05T08:00:00Z,1\n",
		"time,ec,temp,ph\n2026-03-05T08:00:00Z,1200,21,6\nyesterday,1,2,3\n", "time,ec,temp,ph", "time,ec,temp,ph\n", "time,ec,temp,ph\n2026-03-05T08:00:00Z,1200,21,\"6",
		"time;ec;temp;ph\n2026-03-05T08:00:00Z;1200;21;6,1\n;;;\n\n;;;;\n", "time,ec,temp,ph\n2026-03-05T08:00:00Z,1200,21,6\n,,,\n2026-03-05T08:01:00Z,1200,21,6\n",
		"time,ec,temp,ph\n2026-03-05T08:00:00Z,1200,21,6\n2026-03-05T08:01:00Z,900,21,6\n2026-03-05T08:02:00Z,3,21,6\n2026-03-05T08:03:00Z,1200,21,6\n",
	} {
		f.Add(seed, byte(40))
	}
	plan := inventedPlan(f)
	f.Fuzz(func(t *testing.T, text string, size byte) {
		compareWithReference(t, text, plan, int(size)+1)
	})
}

func compareWithReference(t *testing.T, text string, plan Plan, size int) {
	t.Helper()
	ref, ok := newReference(t, text, plan)
	out, _, err := engine(text, plan, size)
	switch {
	case ok && strings.IndexByte(text, 0) < 0 && utf8.ValidString(ref.header):
		ref.holds(t, text, out, plan, err)
	case !ok && out != "" && !strings.HasPrefix(strings.TrimLeft(text, " \t\r\n"), "{"):
		// The header was taken, and it is no object of JSON Lines: then it is one that the reference leaves out.
		assert.Contains(t, out, CorrectedEnding)
	}
	if err == nil && ok && strings.IndexByte(text, 0) < 0 {
		whole, _, err := engine(text, plan, len(text)+1)
		require.NoError(t, err)
		assert.Equal(t, whole, out, "the size of the blocks changes nothing")
	}
}

// Logs made of what logs are made of: sound and unsound cells, quotes, line
// ends, falls and returns.
func TestCorrectAgainstReference(t *testing.T) {
	plan := inventedPlan(t)
	faults := 0
	for seed := range uint64(400) {
		random := rand.New(rand.NewPCG(seed, 8))
		text := randomLog(random)
		ref, ok := newReference(t, text, plan)
		if !ok {
			continue
		}
		if ref.fault != 0 {
			faults++
		}
		for _, size := range []int{1 + random.IntN(60), 1 + random.IntN(600)} {
			out, _, err := engine(text, plan, size)
			ref.holds(t, text, out, plan, err)
			if t.Failed() {
				t.Fatalf("seed %d, blocks of %d bytes", seed, size)
			}
		}
	}
	assert.Greater(t, faults, 20, "some logs have a fault")
	assert.Less(t, faults, 200, "most have none")
}

// randomLog writes a log as careless as they come.
func randomLog(random *rand.Rand) string {
	pick := func(list ...string) string { return list[random.IntN(len(list))] }
	separator := pick(",", ",", ";", "\t")
	mark := "."
	if separator == ";" {
		mark = pick(",", ".")
	}
	lineEnd := pick("\n", "\n", "\r\n")
	names := []string{"time", "ec", "temp", "ph", "note", "pump"}
	random.Shuffle(len(names), func(i, j int) { names[i], names[j] = names[j], names[i] })
	var b strings.Builder
	b.WriteString(pick("", "\uFEFF"))
	for range random.IntN(2) {
		b.WriteString(lineEnd)
	}
	for i, name := range names {
		if i > 0 {
			b.WriteString(separator)
		}
		b.WriteString(pick(name, name, " "+name+" ", `"`+name+`"`))
	}
	b.WriteString(lineEnd)
	at, ec := firstDay.AddDate(0, 0, random.IntN(30)), 1200.0
	clock := pick("2006-01-02T15:04:05Z07:00", "2006-01-02 15:04", "2006-01-02 15:04:05", "2006-01-02T15:04:05.000Z07:00")
	for n, rows := 0, random.IntN(60); n < rows; n++ {
		at = at.Add(60e9)
		switch random.IntN(20) {
		case 0:
			ec *= 0.4
		case 1:
			ec = 3
		case 2:
			ec = 1200
		}
		for i, name := range names {
			if i > 0 {
				b.WriteString(separator)
			}
			number := func(x float64, decimals int) string {
				text := strings.Replace(string(appendNumber(nil, x, 4+decimals, '.')), ".", mark, 1)
				if n == 0 {
					return text
				}
				return pick(text, text, text, text, text, text, text, text, text, text, `"`+text+`"`, " "+text+" ", "", " ", "n/a", "-", "1e3", "+5", "NaN", "0x10", "1_0", "1,2,3"[:1], `"1""2"`)
			}
			switch name {
			case "time":
				b.WriteString(at.Format(clock))
				if random.IntN(400) == 0 {
					b.WriteString("?")
				}
			case "ec":
				b.WriteString(number(ec*(1+0.01*random.Float64()), 1))
			case "temp":
				b.WriteString(number(18+5*random.Float64(), 1))
			case "ph":
				b.WriteString(number(5+2*random.Float64(), 2))
			default:
				b.WriteString(pick("", "x", "µS", `"a`+separator+`b"`, "\"a"+lineEnd+"b\"", `"said ""no"""`))
			}
		}
		if random.IntN(400) == 0 {
			b.WriteString(separator + "1")
		}
		if n < rows-1 || random.IntN(2) == 0 {
			b.WriteString(lineEnd)
		}
		if random.IntN(10) == 0 && n < rows-1 {
			b.WriteString(lineEnd)
		}
	}
	return b.String()
}
