package main

import (
	"strings"
	"testing"

	"github.com/brinemark/brinemark/reports"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestFlagsStandBeforeOrAfterFiles(t *testing.T) {
	want := seen{Files: reports.List[string]{"a.csv", "b.csv"}, Temp: reports.Known(18), Raw: true, Check: true, Mode: "auto", Zone: "UTC",
		Targets: reports.List[string]{"600mg/L", "1413uS/cm"}, At: reports.List[float64]{}, Warnings: reports.Warnings{}}
	for _, line := range []string{
		"inspect --temp 18C --target 600mg/L --target 1413uS/cm --raw --check --time-zone UTC a.csv b.csv",
		"inspect a.csv b.csv --temp 18C --target 600mg/L --target 1413uS/cm --raw --check --time-zone UTC",
		"inspect a.csv --temp 18C --target 600mg/L b.csv --target 1413uS/cm --raw --time-zone UTC --check",
		"--check --time-zone UTC inspect a.csv --raw --target=600mg/L b.csv --target=1.413mS/cm --temp=18C",
		"--time-zone=UTC --check=true inspect --raw=true a.csv b.csv --temp=18C --target 0.6g/L --target 1413uS/cm",
		"-time-zone UTC inspect -check -raw a.csv b.csv -temp 18C -target=600mg/L -target 1413uS/cm",
		"inspect --temp 18C --target 600mg/L --target 1413uS/cm --raw --check --time-zone UTC -- a.csv b.csv",
		"inspect a.csv --temp 18C --target 600mg/L --target 1413uS/cm --raw --check --time-zone UTC -- b.csv",
		"bottle --time-zone UTC add a.csv --temp 18C --target 600mg/L b.csv --target 1413uS/cm --raw --check",
		"--check bottle add a.csv b.csv --temp 18C --target 600mg/L --target 1413uS/cm --raw --time-zone UTC",
	} {
		got := lookAt(t, strings.Fields(line)...)
		assert.Equal(t, want, got, line)
	}
}

func TestArgumentsThatLookLikeFlags(t *testing.T) {
	assert.Equal(t, reports.List[string]{"-"}, lookAt(t, "inspect", "-", "--raw").Files, "- is standard input")
	assert.Equal(t, reports.List[string]{"-5", "-.5"}, lookAt(t, "inspect", "-5", "-.5").Files, "a negative number is no flag")
	assert.Equal(t, reports.Known(-2.5), lookAt(t, "inspect", "--temp", "-2.5C").Temp)
	assert.Equal(t, reports.Known(-2.5), lookAt(t, "inspect", "--temp=-2.5C").Temp)
	assert.Equal(t, reports.List[float64]{-1, 2}, lookAt(t, "inspect", "--at", "-1", "--at", "2").At)
	assert.Equal(t, "-draft", lookAt(t, "inspect", "--mode", "-draft").Mode, "what is no flag can be a value")
	assert.Equal(t, "--raw", lookAt(t, "inspect", "--mode=--raw").Mode)
	assert.Equal(t, "-", lookAt(t, "inspect", "--mode", "-").Mode)
	assert.Equal(t, "a=b", lookAt(t, "inspect", "--mode=a=b").Mode)
	assert.Empty(t, lookAt(t, "inspect", "--mode=").Mode, "an empty value is a value")
	got := lookAt(t, "inspect", "--", "--raw", "--temp")
	assert.Equal(t, reports.List[string]{"--raw", "--temp"}, got.Files, "after -- nothing is a flag")
	assert.False(t, got.Raw)
	assert.Equal(t, reports.List[string]{"raw", "help"}, lookAt(t, "inspect", "raw", "help").Files, "a file may be called like a flag or a command")
	assert.Equal(t, reports.List[string]{"inspect", "h"}, lookAt(t, "inspect", "inspect", "h").Files)
	assert.Equal(t, reports.Warnings{"a,b", "c"}, lookAt(t, "inspect", "--tag", "a,b", "--tag", "c").Warnings, "a comma does not part values")
}

// Every misuse: one line on stderr, nothing on stdout, status 2.
func TestMisuse(t *testing.T) {
	for line, says := range map[string]string{
		"recpie":                        `unknown command "recpie": there are inspect`,
		"-- inspct":                     `unknown command "inspct": the nearest is inspect`,
		"inspct":                        `unknown command "inspct": the nearest is inspect`,
		"--json":                        "no command is given",
		"--json --":                     "no command is given",
		"bottle --json":                 "bottle needs a command after it: add, list",
		"bottle ad":                     `unknown bottle command "ad": the nearest is add`,
		"bottle --raw add":              "unknown flag --raw",
		"inspect --tepm 18C":            "unknown flag --tepm: the nearest is --temp",
		"inspect a.csv --tepm=18C":      "unknown flag --tepm: the nearest is --temp",
		"inspect --jsn":                 "unknown flag --jsn: the nearest is --json",
		"inspect -x":                    "unknown flag -x;",
		"inspect --=1":                  "unknown flag --;",
		"inspect ---raw":                "unknown flag ---raw: the nearest is --raw",
		"--jsno inspect":                "unknown flag --jsno: the nearest is --json",
		"--raw inspect":                 "--raw belongs after the command, as in: brinemark inspect --raw",
		"inspect --temp":                "--temp needs a value after it",
		"inspect --temp --raw":          "--temp needs a value after it",
		"inspect --temp -raw":           "--temp needs a value after it",
		"inspect --temp -h":             "--temp needs a value after it",
		"inspect --temp --unknown":      "--temp needs a value after it",
		"inspect --temp -- a.csv":       "--temp needs a value after it",
		"inspect --temp 18C --temp 20C": `--temp is given twice, as "18C" and as "20C"`,
		"inspect --mode a --mode b":     `--mode is given twice, as "a" and as "b"`,
		"--time-zone UTC inspect --time-zone Europe/Vienna": "--time-zone is given twice",
		"inspect --raw --raw=false":                         "--raw is given twice",
		"inspect --temp=":                                   `--temp: "" is empty; want a temperature such as 25C`,
		"inspect --temp 77F":                                `--temp: "77F" is in degrees Fahrenheit; write 25C`,
		"inspect --temp 18mL":                               `--temp: "18mL" is a volume; want a temperature such as 25C`,
		"inspect --target 600ppm":                           `--target: "600ppm" has no single meaning; write 600mg/L`,
		"inspect --at NaN":                                  `--at: "NaN" is not a number`,
		"inspect --at 1,5":                                  `--at: "1,5" has a comma; write a decimal point, 1.5`,
		"inspect --tolerance x":                             `--tolerance: "x" is not a tolerance; want a tolerance such as 2% or 0.1`,
		"inspect --rule liner":                              `--rule: "liner" is unknown; the nearest right word is linear`,
		"inspect --rule zzz":                                `--rule: "zzz" is unknown; want linear, none, natural-water`,
		"inspect --raw=maybe":                               "--raw takes no value",
		"inspect --check=maybe":                             "--check takes no value",
		"inspect --count x":                                 `invalid value "x" for flag --count`,
		"inspect a b c":                                     `inspect: unexpected argument "c"`,
		"inspect --time-zone Mars":                          `--time-zone: "Mars" is no known zone; want a name such as Europe/Vienna or UTC`,
		"weigh":                                             "weigh needs --batch SIZE and --purity P",
		"weigh --batch 500g":                                "weigh needs --purity",
		"fail":                                              "fail needs HOW",
		"fail input --raw":                                  "unknown flag --raw",
		"fail input":                                        "the bottle is empty",
		"count":                                             "count needs FILE.csv",
		"count no-such-file.csv":                            "no-such-file.csv: there is no such file",
		"count .":                                           ".: is a folder; want a CSV file",
		"help inspct":                                       `unknown command "inspct": the nearest is inspect`,
		"count a.csv --time-zone Mars":                      `--time-zone: "Mars" is no known zone`, // before the file is looked for
		"fail input --time-zone Mars":                       `--time-zone: "Mars" is no known zone`,
		"fail input --check":                                "fail gives no verdict, so --check has nothing to go by",
		"--check count a.csv":                               "count gives no verdict, so --check has nothing to go by",
		// The help that a misuse points to is that of its command.
		"inspect --tepm 19C": "; see brinemark inspect --help\n",
		"bottle add --tepm":  "; see brinemark bottle add --help\n",
		"bottle":             "; see brinemark bottle --help\n",
		"inspect a b c d":    "; see brinemark inspect --help\n",
		"--nonsense":         "; see brinemark --help\n",
		"nonsense":           "; see brinemark --help\n",
	} {
		for _, args := range [][]string{strings.Fields(line), append([]string{"--json"}, strings.Fields(line)...)} {
			r := try(args...)
			assert.Equal(t, statusBadInput, r.status, "%q", args)
			assert.Empty(t, r.stdout, "%q", args)
			assert.True(t, strings.HasPrefix(r.stderr, "brinemark: "), "%q: %s", args, r.stderr)
			assert.Equal(t, 1, strings.Count(r.stderr, "\n"), "%q: one line: %s", args, r.stderr)
			assert.Contains(t, r.stderr, says, "%q", args)
		}
	}
}

// What was typed is said again, but not at any length.
func TestMisuseOfAnyLength(t *testing.T) {
	long := strings.Repeat("x", 100_000)
	for _, args := range [][]string{{long}, {"inspect", "--" + long}, {"inspect", "a", "b", long}, {"inspect", "--rule", long},
		{"inspect", "--temp", long}, {"inspect", "--mode", long, "--mode", "b"}, {"--time-zone", long, "inspect"}} {
		r := try(args...)
		assert.Equal(t, statusBadInput, r.status)
		assert.Less(t, len(r.stderr), 400)
	}
}

func TestRepeatingTheSameValueIsHarmless(t *testing.T) {
	got := lookAt(t, "inspect", "--json", "--temp", "18C", "--temp", "18C", "--raw", "--raw")
	assert.Equal(t, reports.Known(18), got.Temp)
	assert.True(t, got.Raw)
}

// Whatever is typed, the frame answers with one of its statuses, and only a
// result or help ever reaches stdout.
func FuzzArguments(f *testing.F) {
	for _, seed := range []string{
		"inspect a.csv --temp 18C", "inspect --temp=-2C -- --raw", "bottle add --raw", "--json inspect", "fail disk", "weigh --batch 1g",
		"help", "--version", "inspect --temp", "-", "--", "---", "inspect - -5", "inspect --at 1 --at 2 --verdict fail --check",
	} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, line string) {
		args := strings.Split(line, " ")
		r := try(args...)
		require.Contains(t, []int{statusDone, statusCouldNot, statusBadInput, statusNotPassing}, r.status)
		if r.status == statusBadInput || r.status == statusCouldNot {
			require.Empty(t, r.stdout, "%q", args)
			require.Contains(t, r.stderr, "brinemark: ", "%q", args)
		}
	})
}
