package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// hostileNote is a note that a browser, a terminal or Markdown could take for
// something else.
const hostileNote = "<script>document.title='taken'</script> \" ' ` | **b** [x](http://example.org) <img src=x onerror=alert(1)>"

// aBench is a record as a grower keeps it: a pen that drifts until it is
// adjusted, a pen that was only compared, a pH pen with a hostile name, a meter
// without a tolerance, one without a check and one out of use.
func aBench(t *testing.T) *session {
	s := newSession(t)
	s.ok("meter", "add", "tent pen", "--quantity", "ec", "--unit", "ppm", "--ppm-factor", "0.5", "--alpha", "2%", "--resolution", "1", "--tolerance", "5%", "--note", "the one in the tent")
	s.ok("meter", "add", "blue", "--quantity", "ec", "--unit", "ppm", "--ppm-factor", "0.5", "--alpha", "2%", "--range", "0..1999", "--tolerance", "5%")
	s.ok("meter", "add", "<script>מד", "--quantity", "ph", "--tolerance", "0.1", "--note", hostileNote)
	s.ok("meter", "add", "loose", "--quantity", "ec", "--unit", "uS/cm", "--alpha", "2%")
	s.ok("meter", "add", "new", "--quantity", "humidity", "--tolerance", "3%")
	s.ok("meter", "add", "gone", "--quantity", "ph")
	s.ok("meter", "retire", "gone", "--time", "2026-02-01")
	s.ok("bottle", "add", "A", "--salt", "NaCl", "--strength", "300mg/L", "--u-strength", "0.1%", "--source", "stock 1", "--u-shared", "0.8%", "--made", "2025-11-20")
	s.ok("bottle", "add", "B", "--salt", "NaCl", "--strength", "600mg/L", "--u-strength", "0.1%", "--source", "stock 1", "--u-shared", "0.8%", "--made", "2025-11-20")
	s.ok("bottle", "add", "P7", "--buffer", "7.00", "--made", "2026-02-01")
	s.ok("bottle", "add", "P4", "--buffer", "4.00", "--made", "2026-02-01")
	for _, check := range []struct{ day, a, b string }{
		{"2025-11-25", "305", "604"}, {"2025-12-22", "299", "591"}, {"2026-01-20", "293", "578"}, {"2026-02-22", "287", "565"},
	} {
		path := s.table("check.csv", "bottle,reading,u_reading,temp_C\nA,"+check.a+",1,19.5\nB,"+check.b+",1,20\n")
		s.ok("calibrate", path, "--meter", "tent pen", "--u-temp", "0.3C", "--save", "--time", check.day)
	}
	s.ok("event", "add", "tent pen", "adjusted", "--time", "2026-03-01T09:00:00Z", "--note", "trim | in bottle B")
	trimmed := s.table("trim.csv", "state,bottle,reading,u_reading,temp_C\nas-found,A,285,1,19.5\nas-found,B,561,1,19.5\nas-left,A,307,1,19.5\nas-left,B,606,1,19.5\n")
	s.ok("calibrate", trimmed, "--meter", "tent pen", "--u-temp", "0.3C", "--save", "--time", "2026-03-01T09:00:00Z", "--note", hostileNote)
	both := s.table("both.csv", "meter,bottle,reading,u_reading,temp_C,time\ntent pen,A,307,1,19.5,2026-03-01T10:00:00Z\nblue,A,345,1,19.5,2026-03-01T10:00:00Z\ntent pen,B,606,1,19.5,2026-03-01T10:00:00Z\nblue,B,641,1,19.5,2026-03-01T10:00:00Z\n")
	s.ok("compare", both, "--u-temp", "0.3C", "--save")
	s.ok("calibrate", s.table("ph.csv", "bottle,reading,u_reading,temp_C\nP7,7.05,0.01,20\nP4,4.2,0.01,20\n"), "--meter", "<script>מד", "--save", "--time", "2026-02-25")
	s.ok("calibrate", s.table("loose.csv", "ref,reading\n1413,1400\n447,440\n2000,1990\n"), "--meter", "loose", "--save", "--time", "2026-02-25")
	return s
}

// identity is what stands for chance in a golden file: the random part of an
// identity, and the hash of the report, which depends on it.
var identity = regexp.MustCompile(`(2026-\d\d-\d\d)(-[0-9a-hjkmnp-tv-z]{12}|, [0-9a-f]{8})\b`)

// drawn is the drawing of a chart below its title and its words; charts have
// golden files of their own.
var drawn = regexp.MustCompile(`(?s)(</desc>).*?(</svg>)`)

func steady(text string) string {
	text = drawn.ReplaceAllString(text, "$1 … $2")
	return identity.ReplaceAllStringFunc(text, func(found string) string {
		return found[:len(time.DateOnly)] + map[bool]string{true: "-xxxxxxxxxxxx", false: ", xxxxxxxx"}[found[len(time.DateOnly)] == '-']
	})
}

// file has a report written and reads it.
func (s *session) reported(name string, args ...string) string {
	s.t.Helper()
	path := filepath.Join(filepath.Dir(s.file), name)
	s.ok(append([]string{"report", "--out", path}, args...)...)
	text, err := os.ReadFile(path)
	require.NoError(s.t, err)
	return string(text)
}

func TestReportGolden(t *testing.T) {
	s := aBench(t)
	golden(t, "report/tent-pen.txt", steady(s.ok("report", "--meter", "tent pen")))
	golden(t, "report/tent-pen.md", steady(s.ok("report", "--meter", "tent pen", "--format", "markdown")))
	golden(t, "report/tent-pen.json", steady(s.ok("report", "--meter", "tent pen", "--json")))
	golden(t, "report/tent-pen.html", steady(s.reported("tent-pen.html", "--meter", "tent pen", "--by", "A. Grower", "--place", "the shed", "--for", "own use")))
	golden(t, "report/ph-pen.txt", steady(s.ok("report", "--meter", "<script>מד")))
	golden(t, "report/ph-pen.md", steady(s.ok("report", "--meter", "<script>מד", "--format", "markdown")))
	golden(t, "report/all.txt", steady(s.ok("report", "--all")))
	golden(t, "report/all.html", steady(s.reported("index.html", "--all")))
}

// The content stands in the order in which ISO/IEC 17025:2017 lists it: 7.8.2.1
// a to m, at m what 7.8.4.1 asks of the results of a calibration, then n to p.
func TestReportFollowsTheOrderOfTheStandard(t *testing.T) {
	s := aBench(t)
	text := s.reported("tent.html", "--meter", "tent pen")
	at := 0
	for _, clause := range []string{"7.8.2.1 a to e", "7.8.2.1 f", "7.8.2.1 g", "7.8.2.1 h to j", "7.8.2.1 l", "7.8.2.1 m, 7.8.4.1 a", "7.8.4.1 b", "7.8.4.1 c", "7.8.4.1 d", "7.8.4.1 e", "7.8.4.1 f", "7.8.2.1 n", "7.8.2.1 o and p"} {
		next := strings.Index(text, "ISO/IEC 17025, "+clause)
		require.Greater(t, next, at, clause)
		at = next
	}
	for _, want := range []string{"not a certificate of an accredited laboratory", "relate to", "End of report"} {
		if want == "relate to" {
			want = "The results are about this one meter"
		}
		assert.Contains(t, text, want)
	}
}

// Every figure of the page stands in the JSON.
func TestReportAsJSON(t *testing.T) {
	s := aBench(t)
	r := s.json("report", "--meter", "TENT PEN")
	assert.Equal(t, "tent pen", r["meter"])
	assert.Equal(t, false, r["accredited"])
	assert.Equal(t, "pass", r["state"])
	assert.Equal(t, "2026-03-01", r["issued"])
	d := s.json("drift", "--meter", "tent pen")
	assert.Equal(t, d["due"], r["due"])
	assert.Equal(t, d["next_check"], r["next_check"])
	assert.Equal(t, d["verdict"], r["verdict"])
	assert.Equal(t, d["error_now"], r["drift"].(map[string]any)["error_now"])
	calibrations := r["calibrations"].([]any)
	require.Len(t, calibrations, 6)
	last := calibrations[5].(map[string]any)
	assert.Equal(t, "as-left", last["state"])
	points := last["points"].([]any)
	require.Len(t, points, 2)
	p := points[0].(map[string]any)
	assert.Equal(t, 307.0, p["reading"])
	assert.InDelta(t, p["reading"].(float64)-p["ref"].(float64), p["error"], 1e-12)
	adjusted := r["adjustments"].([]any)
	require.Len(t, adjusted, 1)
	a := adjusted[0].(map[string]any)
	assert.Equal(t, calibrations[4].(map[string]any)["id"], a["before"])
	assert.Equal(t, last["id"], a["after"])
	assert.Equal(t, []any{"adjusted"}, a["events"])
	assert.Len(t, r["bottles"], 2)
	assert.Equal(t, 12.0, r["conditions"].(map[string]any)["readings"])
	assert.Equal(t, 19.5, r["conditions"].(map[string]any)["temp_low_C"])
	assert.Equal(t, 20.0, r["conditions"].(map[string]any)["temp_high_C"])
	var again map[string]any
	require.NoError(t, json.Unmarshal([]byte(s.reported("tent.json", "--meter", "tent pen")), &again))
	assert.Equal(t, r, again, "the same report, with the same identity")
	other := s.json("report", "--meter", "tent pen", "--now", "2026-03-02")
	assert.NotEqual(t, r["report"].(string)[len("tent pen, 2026-03-01, "):], other["report"].(string)[len("tent pen, 2026-03-02, "):])
}

// What a report says where little is known.
func TestReportStates(t *testing.T) {
	s := aBench(t)
	for meter, want := range map[string]struct{ state, text string }{
		"tent pen":   {"pass", `^Within its tolerance of 5 %: its error is .* ± .* % at 309\.1 ppm \(probability of being within .*\); check it again by \d+ March 2026\.$`},
		"blue":       {"not-checked", `^Not calibrated: .* 1 March 2026, said fail\. Check it now\.$`},
		"<script>מד": {"undecided", `^Undecided: last seen at \+0\.201 pH at 3\.999 pH on 25 February 2026, more than is allowed; foretold today: .*, more likely outside than within its tolerance of 0\.1 pH \(probability of being within \d`},
		"loose":      {"no-tolerance", `^No verdict, since no tolerance is on record: last seen at -1\.57 % at 447\.0 uS/cm on 25 February 2026; foretold today: `},
		"new":        {"not-checked", `^Not checked: `},
		"gone":       {"out-of-use", `^Out of use since 1 February 2026\.$`},
	} {
		r := s.json("report", "--meter", meter)
		assert.Equal(t, want.state, r["state"], meter)
		assert.Regexp(t, want.text, r["state_text"], meter)
		for _, format := range reportFormats() {
			out := s.ok("report", "--meter", meter, "--format", format)
			assert.Contains(t, strings.Join(strings.Fields(strings.NewReplacer("&gt;", ">", "<bdi>", "", "</bdi>", "", "\n>", "").Replace(out)), " "), "not a certificate of an accredited laboratory", "%s, %s", meter, format)
		}
	}
	assert.Equal(t, statusDone, s.run("report", "--meter", "tent pen", "--check").status)
	for _, args := range [][]string{{"--meter", "blue"}, {"--meter", "loose"}, {"--meter", "new"}, {"--all"}} {
		r := s.run(append([]string{"report", "--check"}, args...)...)
		assert.Equal(t, statusNotPassing, r.status, "%v", args)
		assert.NotEmpty(t, r.stdout)
	}
}

// A last check that is far outside, hours after a good one, comes first.
func TestReportOfAnUnsettledCheck(t *testing.T) {
	s := newSession(t)
	s.ok("meter", "add", "pen", "--quantity", "ec", "--tolerance", "5%")
	for day, reading := range map[string]string{"2026-01-01": "1410", "2026-02-01": "1400", "2026-03-01": "1412", "2026-03-01 18:00": "904"} {
		s.ok("calibrate", s.table("q.csv", "ref,reading,u_ref,u_reading\n1413,"+reading+",7,1\n"), "--meter", "pen", "--save", "--time", day)
	}
	r := s.json("report", "--meter", "pen", "--now", "2026-03-03")
	assert.Equal(t, "undecided", r["state"])
	assert.Regexp(t, "^Found at -36.* on 1 March 2026, outside its tolerance of 5 %, which does not fit the checks before: either the meter or that check is wrong; repeat it with another bottle\\.$", r["state_text"])
}

// A meter that is outside its tolerance is told so in the first line; where the
// bottles may be to blame, what was found comes first and then the doubt.
func TestReportOfABadMeter(t *testing.T) {
	s := aBench(t)
	r := s.json("report", "--meter", "tent pen", "--now", "2026-02-28")
	assert.Equal(t, "undecided", r["state"])
	assert.Equal(t, "Found at -7.16 ± 0.86 % at 309.1 ppm on 22 February 2026, outside its tolerance of 5 %; foretold today: -7.51 ± 0.81 % at 309.1 ppm; "+
		"undecided only since its bottles (A, B) may have changed, and not the meter: check it with a fresh one; a check has been overdue since 22 February 2026.", r["state_text"])
	assert.Equal(t, "2026-02-22", r["overdue_since"])
	seen := r["last_seen"].(map[string]any)
	assert.Equal(t, "fail", seen["verdict"])
	assert.Equal(t, "2026-02-22", seen["day"])
	assert.InDelta(t, 287/309.14-1, seen["error"], 0.0001, "the worst of the readings of that day")
	index := s.reported("then.html", "--all", "--now", "2026-02-28")
	assert.Contains(t, index, `<strong class="mark open">undecided, found outside</strong>`)
	assert.Contains(t, index, `<strong class="mark overdue">overdue since 22 February 2026</strong>`)
	assert.Contains(t, index, `<strong class="mark untold">not checked</strong>`, "what nobody knows of has a mark of its own")
	assert.Len(t, r["calibrations"], 4, "what came later is left out")
	assert.Empty(t, r["events"])
	assert.Contains(t, texts(r), "later than 2026-02-28")
	s.ok("meter", "add", "bad", "--quantity", "ec", "--unit", "uS/cm", "--tolerance", "5%")
	s.ok("calibrate", s.table("bad.csv", "ref,u_ref,reading,u_reading\n1413,5,1200,2\n447,2,380,1\n"), "--meter", "bad", "--save", "--time", "2026-02-27")
	r = s.json("report", "--meter", "bad")
	assert.Equal(t, "fail", r["state"])
	assert.Regexp(t, `^Outside its tolerance of 5 %: last seen at -15\.\d+ ± 0\.\d+ % at 1413 uS/cm on 27 February 2026; foretold today: .*; adjust it, or correct what it shows; a check has been overdue since 27 February 2026\.$`, r["state_text"])
	assert.Contains(t, r["traceability"].([]any)[0], "2 readings were held against values that were typed in")
}

func TestReportOfAnEmptyRecord(t *testing.T) {
	s := newSession(t)
	assert.Contains(t, s.run("report", "--all").stderr, "begins one", "there is no record yet")
	s.ok("bottle", "add", "A", "--buffer", "7.00", "--made", "2026-02-20")
	assert.Contains(t, s.ok("report", "--all"), "There is no meter on record yet.")
	assert.Contains(t, s.reported("index.html", "--all"), "There is no meter on record yet.")
	r := s.run("report", "--meter", "P1")
	assert.Equal(t, statusBadInput, r.status)
	assert.Contains(t, r.stderr, "there is no meter yet")
}

// Pages for people write µS/cm and °C, in tables, sentences and pictures alike;
// text and JSON of the same report stay in ASCII.
func TestReportUnits(t *testing.T) {
	d := sharedDemo(t)
	names := regexp.MustCompile(`(?s)<bdi>.*?</bdi>|<style>.*?</style>`)
	ascii := regexp.MustCompile(`uS/cm|\d C\b|[%\d]/C\b|>C<`)
	for _, name := range []string{"meter-old-pen.html", "meter-new-pen.html", "meter-ph-pen.html", "meter-tub-probe.html", "record.html"} {
		page := names.ReplaceAllString(d.read(t, name), "")
		assert.Empty(t, ascii.FindAllString(page, -1), name)
		assert.Contains(t, page, "°C", name)
	}
	assert.Contains(t, d.read(t, "meter-tub-probe.html"), "shown in µS/cm")
	s := aBench(t)
	for _, format := range []string{"text", "json", "markdown"} {
		out := s.ok("report", "--meter", "tent pen", "--format", format)
		assert.NotContains(t, out, "µS")
		assert.NotContains(t, out, "°C")
	}
}

// One figure is written in one way on a page: the reference of the error today as
// in the tables, and the largest error of a calibration as what was last seen.
func TestOneRoundingOnAPage(t *testing.T) {
	s := aBench(t)
	text := s.ok("report", "--meter", "tent pen", "--now", "2026-03-20")
	assert.Contains(t, strings.Join(strings.Fields(text), " "), "last seen at -0.69 ± 0.86 % at 309.1 ppm on 1 March 2026; foretold today: ")
	assert.Contains(t, text, "309.1 ± 2.5")
	assert.NotRegexp(t, `309\.1\d`, text)
	assert.Regexp(t, `largest error +-0\.69 ± 0\.86 %`, text)
	d := sharedDemo(t)
	for _, name := range []string{"meter-old-pen.html", "meter-new-pen.html", "record.html"} {
		assert.NotRegexp(t, `(311\.1|311\.2|900\.9|901\.0)\d`, regexp.MustCompile(`(?s)<svg.*?</svg>`).ReplaceAllString(d.read(t, name), ""), name)
	}
}

// A meter that was not checked in time says since when, everywhere, and the day
// stays however late one asks.
func TestReportOfAnOverdueMeter(t *testing.T) {
	s := aBench(t)
	assert.Nil(t, s.json("report", "--meter", "tent pen")["overdue_since"])
	due := s.json("report", "--meter", "tent pen")["next_check"].(string)
	assert.Equal(t, "2026-03-31", due)
	assert.Nil(t, s.json("report", "--meter", "tent pen", "--now", due)["overdue_since"], "it is due today")
	for _, now := range []string{"2026-04-01", "2026-06-01", "2027-03-01"} {
		r := s.json("report", "--meter", "tent pen", "--now", now)
		assert.Equal(t, due, r["overdue_since"])
		assert.Equal(t, now, r["next_check"], "the advice is not in the past")
		assert.Equal(t, due, r["drift"].(map[string]any)["overdue_since"])
		assert.Contains(t, r["state_text"], "a check has been overdue since 31 March 2026")
		assert.Contains(t, s.ok("drift", "--meter", "tent pen", "--now", now), "\noverdue     since 31 March 2026 (")
		assert.Contains(t, s.ok("report", "--meter", "tent pen", "--now", now), "since 31 March 2026 (")
		assert.Contains(t, s.ok("report", "--meter", "tent pen", "--now", now, "--format", "markdown"), "- **overdue**: **since 31 March 2026 (")
		all := s.json("report", "--all", "--now", now)
		for _, m := range all["meters"].([]any) {
			if m := m.(map[string]any); m["meter"] == "tent pen" {
				assert.Equal(t, due, m["overdue_since"])
			} else if m["meter"] == "gone" {
				assert.Nil(t, m["overdue_since"], "what is out of use is not overdue")
			}
		}
		assert.Contains(t, s.reported("then.html", "--all", "--now", now), "overdue since 31 March 2026")
	}
	assert.Contains(t, s.ok("report", "--meter", "tent pen", "--now", "2026-04-01", "--format", "html"), "since 31 March 2026 (1 day)")
}
