package series

import (
	"bytes"
	"errors"
	"io"
	"math/rand/v2"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/brinemark/brinemark/calib/readings"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func followText(t *testing.T, name, text string, plan Plan) (out string, summary *Summary, troubles []string, err error) {
	t.Helper()
	var b bytes.Buffer
	summary, err = Follow(iotest.OneByteReader(strings.NewReader(text)), &b, name, plan, func(err error) { troubles = append(troubles, err.Error()) })
	return b.String(), summary, troubles, err
}

// Where nothing looks back, and no row goes over several lines, a log that comes
// line by line gives what the whole gives.
func TestFollowEqualsCorrect(t *testing.T) {
	plan := inventedPlan(t)
	for _, p := range plan.Probes {
		p.Dry = nil
	}
	compared := 0
	for seed := range uint64(300) {
		text := randomLog(rand.New(rand.NewPCG(seed, 9)))
		text = strings.NewReplacer("\"a\nb\"", "ab", "\"a\r\nb\"", "ab").Replace(text)
		want, wantSummary, err := correctText(t, "log.csv", text, plan)
		if err != nil {
			continue
		}
		if ref, ok := newReference(t, text, plan); !ok || len(ref.rows) == 0 {
			continue // no number shows the decimal mark in time
		}
		got, summary, troubles, err := followText(t, "log.csv", text, plan)
		require.NoError(t, err)
		assert.Empty(t, troubles)
		assert.Equal(t, want, got, "seed %d", seed)
		assert.Equal(t, wantSummary, summary)
		compared++
	}
	assert.Greater(t, compared, 100)
}

// A lifted probe: the fall is seen when it is over. Live, what came before is out
// already.
func TestFollowLooksBackOnly(t *testing.T) {
	plan := inventedPlan(t)
	plan.Probes = plan.Probes[:1]
	text := lifted(40)
	whole, summary, err := correctText(t, "log.csv", text, plan)
	require.NoError(t, err)
	live, liveSummary, _, err := followText(t, "log.csv", text, plan)
	require.NoError(t, err)
	later := 0
	want, got := flagsOf(whole), flagsOf(live)
	require.Len(t, got, len(want))
	for i := range want {
		if want[i] != got[i] {
			assert.Equal(t, "dry/", want[i]+"/"+got[i])
			later++
		}
	}
	assert.GreaterOrEqual(t, later, 5*40, "the falls, at least")
	assert.LessOrEqual(t, later, 5*45, "and some rows until it is sure")
	assert.Equal(t, summary.Columns[0].Flagged[Dry], liveSummary.Columns[0].Flagged[Dry]+int64(later))
}

// One line out for each that goes in, in one piece, before the next is read.
func TestFollowWritesEachLine(t *testing.T) {
	for _, c := range []struct{ name, text string }{
		{"log.csv", string(inventedLog(20))},
		{"feed", strings.Repeat(`{"time":"2026-03-06T12:00:00Z","ec":1000,"temp":20.0,"ph":6}`+"\n", 5)},
	} {
		lines := strings.SplitAfter(strings.TrimSuffix(c.text, "\n"), "\n")
		in, feed := io.Pipe()
		out := make(chan string)
		done := make(chan error)
		go func() {
			_, err := Follow(in, pieces(out), c.name, inventedPlan(t), func(error) {})
			done <- err
		}()
		for i, line := range lines {
			line = strings.TrimSuffix(line, "\n") + "\n"
			go feed.Write([]byte(line))
			got := <-out
			assert.True(t, strings.HasPrefix(got, strings.TrimRight(line, "}\n")), "line %d: %q", i, got)
			assert.True(t, strings.HasSuffix(got, "\n"))
			assert.Equal(t, 1, strings.Count(got, "\n"))
		}
		feed.Close()
		require.NoError(t, <-done)
	}
}

// pieces passes on what is written, piece by piece.
type pieces chan string

func (p pieces) Write(b []byte) (int, error) {
	p <- string(b)
	return len(b), nil
}

func TestFollowGoesOnAfterTrouble(t *testing.T) {
	plan := inventedPlan(t)
	good := "2026-03-06T12:00:00Z,1000,20,6"
	whole, _, err := correctText(t, "feed", "time,ec,temp,ph\n"+good+"\n", plan)
	require.NoError(t, err)
	corrected := strings.TrimPrefix(whole, "time,ec,temp,ph,ec_corrected,ec_u,ec_flag,ph_corrected,ph_u,ph_flag\n"+good)
	lost := ",,,not-a-number,,,not-a-number"
	out, summary, troubles, err := followText(t, "feed", "time,ec,temp,ph\n"+good+"\nnoon,1,2,3\r\n1,2\n"+good[:20]+",\"1000,20,6\na\"b,c\n\n"+good, plan)
	require.NoError(t, err)
	assert.Equal(t, "time,ec,temp,ph,ec_corrected,ec_u,ec_flag,ph_corrected,ph_u,ph_flag\n"+good+corrected+
		"noon,1,2,3"+lost+"\r\n1,2"+lost+"\n"+good[:20]+",\"1000,20,6"+lost+"\na\"b,c"+lost+"\n\n"+good+strings.TrimSuffix(corrected, "\n"), out)
	require.Len(t, troubles, 4)
	assert.Contains(t, troubles[0], `feed, row 3, column time: found "noon"`)
	assert.Contains(t, troubles[1], `feed, row 4: found 2 fields; want 4, as in the header`)
	assert.Contains(t, troubles[2], `feed, row 5: found a quoted field without a closing "`)
	assert.Contains(t, troubles[3], `feed, row 6: found a " inside a field`)
	assert.Equal(t, int64(6), summary.Rows)
	assert.Equal(t, int64(4), summary.Columns[0].Flagged[NotANumber])
	assert.Equal(t, "2026-03-06T12:00:00Z", summary.First.Format("2006-01-02T15:04:05Z07:00"), "lines without a time have no part in it")

	object := `{"time":"2026-03-06T12:00:00Z","ec":1000,"temp":20,"ph":6}`
	out, _, troubles, err = followText(t, "feed", object+"\n{\"time\":\nrestarted\n{ }\n{\"time\":\"noon\"}\n"+object, plan)
	require.NoError(t, err)
	require.Len(t, troubles, 4)
	lines := strings.Split(out, "\n")
	require.Len(t, lines, 6)
	assert.Equal(t, `{"time":`, lines[1])
	assert.Equal(t, `restarted`, lines[2])
	assert.Equal(t, `{"ec_corrected":null,"ec_u":null,"ec_flag":"not-a-number","ph_corrected":null,"ph_u":null,"ph_flag":"not-a-number" }`, lines[3])
	assert.Equal(t, `{"time":"noon","ec_corrected":null,"ec_u":null,"ec_flag":"not-a-number","ph_corrected":null,"ph_u":null,"ph_flag":"not-a-number"}`, lines[4])
	assert.Equal(t, lines[0], lines[5])
}

func TestFollowRefuses(t *testing.T) {
	plan := inventedPlan(t)
	for text, says := range map[string]string{
		"": "feed: found an empty log", "\n\n": "feed: found an empty log", "time,ec,temp\n": "feed, row 1, column ph: found no such column", "\n\nzeit,ec,temp,ph\n": "feed, row 3, column time",
		"time,ec,temp,ph\n" + strings.Repeat("x", mostRow+1): "feed, row 2: found a row of more than a million bytes",
	} {
		_, _, troubles, err := followText(t, "feed", text, plan)
		assert.Empty(t, troubles)
		var place *readings.Error
		require.ErrorAs(t, err, &place)
		assert.ErrorContains(t, err, says)
	}
	gone := errors.New("the reader is gone")
	_, err := Follow(strings.NewReader("time,ec,temp,ph\n"), broken{gone}, "feed", plan, nil)
	assert.Equal(t, gone, err)
	lost := errors.New("the line is down")
	var b bytes.Buffer
	_, err = Follow(io.MultiReader(strings.NewReader("time,ec,temp,ph\n2026-03-06T12:00:00Z,1000,20,6\n"), iotest.ErrReader(lost)), &b, "feed", plan, nil)
	assert.Equal(t, lost, err)
	assert.Equal(t, 2, strings.Count(b.String(), "\n"), "what came before it is out")
}

type broken struct{ err error }

func (b broken) Write([]byte) (int, error) { return 0, b.err }

// The first number with a decimal mark decides which one the log has.
func TestFollowDecimalComma(t *testing.T) {
	plan := Plan{Probes: inventedProbes(t)[1:]}
	out, _, _, err := followText(t, "feed", "time;ph\n2026-03-06 12:00;6\n2026-03-06 12:00;6,0\n2026-03-06 12:00;6.0\n2026-03-06 12:00;6\n", plan)
	require.NoError(t, err)
	lines := strings.Split(out, "\n")
	assert.Contains(t, lines[1], ";6.186000000;")
	assert.Contains(t, lines[2], ";6,186000000;")
	assert.Contains(t, lines[3], ";6.0;;;not-a-number")
	assert.Contains(t, lines[4], ";6,186000000;")
}

// BenchmarkFollow is the time from a line read to the line written: far below a
// millisecond.
func BenchmarkFollow(b *testing.B) {
	for name, line := range map[string]string{
		"csv": "2026-03-06T12:00:00Z,1000.5,20.0,6.05\n", "json": `{"time":"2026-03-06T12:00:00Z","ec":1000.5,"temp":20.0,"ph":6.05}` + "\n",
	} {
		b.Run(name, func(b *testing.B) {
			feed := &lineByLine{line: line, left: b.N}
			if name == "csv" {
				feed.head = "time,ec,temp,ph\n"
			}
			b.ReportAllocs()
			if _, err := Follow(feed, io.Discard, name, inventedPlan(b), func(err error) { b.Fatal(err) }); err != nil {
				b.Fatal(err)
			}
		})
	}
}

// lineByLine gives one line with each Read.
type lineByLine struct {
	head, line string
	left       int
}

func (l *lineByLine) Read(buf []byte) (int, error) {
	if l.head != "" {
		n := copy(buf, l.head)
		l.head = ""
		return n, nil
	}
	if l.left == 0 {
		return 0, io.EOF
	}
	l.left--
	return copy(buf, l.line), nil
}
