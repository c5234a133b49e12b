package main

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/brinemark/brinemark/cmd/brinemark/scenario"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/urfave/cli/v2"
)

// helpExamples are the commands shown in a description, each in one line: lines
// that are set in and begin with the program's name, with those they go on in.
func helpExamples(description string) (out []string) {
	lines := strings.Split(description, "\n")
	for i := 0; i < len(lines); i++ {
		line := strings.TrimSpace(lines[i])
		if !strings.HasPrefix(lines[i], " ") || !strings.HasPrefix(line, "brinemark ") {
			continue
		}
		for strings.HasSuffix(line, `\`) && i+1 < len(lines) {
			i++
			line = strings.TrimSuffix(line, `\`) + strings.TrimSpace(lines[i])
		}
		out = append(out, line)
	}
	return out
}

// typed is what the shell gives the program of an example, and the file its output
// goes to; what is piped on is left to the next program.
func typed(t *testing.T, example string) (args []string, into string) {
	t.Helper()
	example, _, _ = strings.Cut(example, " | ")
	words := shellWords(t, example)
	for i, w := range words {
		if w == ">" {
			require.Len(t, words[i+1:], 1, example)
			return words[1:i], words[i+1]
		}
	}
	return words[1:], ""
}

// exampleFolder is found before a test changes its folder.
var exampleFolder = filepath.Join(goldenFolder, "..", "examples")

// exampleFiles are what the examples read.
func exampleFiles(t *testing.T) {
	t.Helper()
	files, err := scenario.Files()
	require.NoError(t, err)
	content := map[string]string{}
	for _, f := range files {
		content[f.Name] = string(f.Content)
	}
	for _, name := range []string{"old-pen.csv", "both-pens.csv"} { // with the references typed in
		text, err := os.ReadFile(filepath.Join(exampleFolder, name))
		require.NoError(t, err)
		content[name] = string(text)
	}
	content["readings.csv"] = content["old-pen.csv"]
	content["bench.csv"] = "meter,bottle,reading,temp_C\ntent pen,A,607,19\ntent pen,K1413,710,19\n"
	content["warm.csv"] = "temp_C,reading\n10,606\n15,606\n20,608\n25,611\n30,616\n"
	checks := "time,ref,reading\n"
	tub := "time,left,right\n"
	log := "time,ec,ph,water_C\n"
	day := time.Date(2025, 11, 1, 12, 0, 0, 0, time.UTC)
	for i := range 10 {
		checks += day.AddDate(0, 0, 7*i).Format(time.DateOnly) + ",1413," + []string{"1410", "1405", "1404", "1399", "1396", "1390", "1389", "1384", "1380", "1377"}[i] + "\n"
	}
	for i := range 200 {
		at := day.Add(time.Duration(i) * 12 * time.Hour).Format(time.RFC3339)
		tub += at + "," + []string{"1400", "1402", "1399"}[i%3] + "," + []string{"1401", "1400"}[i%2] + "\n"
		log += at + "," + []string{"570", "571", "569"}[i%3] + "," + []string{"5.8", "5.9"}[i%2] + ",19\n"
	}
	content["checks.csv"], content["tub.csv"], content["log.csv"] = checks, tub, log
	const line = `{"quantity": "ec", "unit": "ppm", "time": "TIME", "state": "as-left", "fit": {"method": "two-point", "intercept": 1.0, "slope": 1.002, "u_intercept": 2.5, "u_slope": 0.0094, "cov": -0.021}, "points": [{"ref": 309.1, "reading": 307.5}, {"ref": 607.4, "reading": 605.2}]}`
	content["may.json"] = strings.Replace(line, "TIME", "2025-11-05T12:00:00Z", 1)
	content["june.json"] = strings.Replace(line, "TIME", "2025-12-05T12:00:00Z", 1)
	for name, text := range content {
		require.NoError(t, os.WriteFile(name, []byte(text), 0o644))
	}
}

// asIs are examples that name what only a record of their own can have: they are
// parsed, not run.
var asIs = map[string]string{
	"brinemark event add P2 adjusted --corrects 2026-03-01-4fz0k2m9x7ra": "the identity of an event is random",
}

// The help of every command shows one example or more, and each is a command that
// runs as it stands: on files as it names them, and on a record with the meters
// and bottles it names.
func TestEveryHelpHasExamplesThatRun(t *testing.T) {
	record := exampleRecord(t)
	ran := map[string]bool{}
	app := newApp(commands(), nil, nil, nil)
	eachCommand(app, func(path []string, c *cli.Command) {
		name := strings.Join(path, " ")
		examples := helpExamples(c.Description)
		require.NotEmpty(t, examples, "brinemark %s --help shows no example", name)
		for _, example := range examples {
			args, _ := typed(t, example)
			o, err := orderArguments(newApp(commands(), nil, nil, nil), args)
			require.NoError(t, err, example)
			assert.True(t, strings.HasPrefix(strings.Join(o.path, " "), name), "%q is an example of another command than %s", example, name)
			if _, kept := asIs[example]; !kept {
				ran[name] = runExample(t, record, example, c) || ran[name]
			}
		}
		assert.True(t, ran[name], "an example of %s is run", name)
	})
}

// exampleRecord has the meters and bottles that the examples name, with two checks
// of each meter that drift asks about.
func exampleRecord(t *testing.T) string {
	t.Helper()
	s := newSession(t)
	for _, setup := range [][]string{
		{"bottle", "add", "K1413", "--salt", "KCl", "--strength", "1413uS/cm", "--u-strength", "0.5%", "--best-before", "2027-01-31"},
		{"bottle", "add", "A", "--salt", "NaCl", "--strength", "600mg/L", "--u-strength", "0.3%", "--made", "2026-02-01", "--full-mass", "550g", "--empty-mass", "50g", "--u-bottle-mass", "0.5g"},
		{"bottle", "weigh", "A", "--mass", "549g", "--time", "2026-02-20"},
		{"bottle", "add", "B", "--salt", "NaCl", "--strength", "900mg/L", "--u-strength", "0.3%", "--made", "2026-02-01"},
		{"meter", "add", "tent pen", "--quantity", "ec", "--unit", "ppm", "--ppm-factor", "0.5", "--tolerance", "2%"},
		{"meter", "add", "P1", "--quantity", "ec", "--unit", "ppm", "--ppm-factor", "0.5", "--tolerance", "2%"},
		{"meter", "add", "P2", "--quantity", "ph", "--tolerance", "0.1"},
		{"meter", "add", "old pen", "--quantity", "ec"},
		{"meter", "add", "old-pen", "--quantity", "ec", "--unit", "ppm", "--ppm-factor", "0.5"},
		{"meter", "add", "new-pen", "--quantity", "ec", "--unit", "ppm", "--ppm-factor", "0.5"},
	} {
		s.ok(setup...)
	}
	for _, day := range []string{"2026-01-10", "2026-02-10"} {
		for meter, at := range map[string][]string{"tent pen": {"600=590", "900=880"}, "P1": {"600=590", "900=880"}, "P2": {"4=4.05", "7=7.02"}} {
			s.ok("calibrate", "--point", at[0], "--point", at[1], "--meter", meter, "--time", day, "--save")
		}
	}
	copied := filepath.Join(t.TempDir(), "record.db")
	s.ok("logbook", "backup", copied)
	return copied
}

// runExample runs one example in a folder of its own, and on a copy of the record:
// an empty one for what begins a record.
func runExample(t *testing.T, record, example string, c *cli.Command) bool {
	t.Helper()
	return t.Run(strings.TrimPrefix(example, "brinemark "), func(t *testing.T) {
		t.Chdir(t.TempDir())
		exampleFiles(t)
		s := newSession(t)
		t.Setenv("BRINEMARK_LOGBOOK", s.file)
		args, into := typed(t, example)
		if begins := len(args) > 1 && slices.Contains([]string{"meter add", "bottle add", "recipe made"}, args[0]+" "+args[1]); !begins {
			content, err := os.ReadFile(record)
			require.NoError(t, err)
			require.NoError(t, os.WriteFile(s.file, content, 0o600))
		}
		if args[0] == "sheet" {
			require.NoError(t, os.Remove("bench.csv")) // it makes that
		}
		if args[0] == "logbook" && args[1] == "import" {
			require.NoError(t, os.WriteFile(args[2], []byte(s.ok("logbook", "export")), 0o644))
		}
		r := invoke(append([]string{"--time-zone", "UTC"}, args...)...)
		judged := judges(c) && slices.Contains(args, "--check") && r.status == statusNotPassing
		require.True(t, r.status == statusDone || judged, "%s: status %d: %s", example, r.status, r.stderr)
		assert.NotEmpty(t, r.stdout+r.stderr)
		fitsTheScreen(t, args, r)
		if into != "" {
			assert.NotEmpty(t, r.stdout, "something goes into %s", into)
		}
	})
}
