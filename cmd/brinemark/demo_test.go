package main

import (
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/brinemark/brinemark/cmd/brinemark/scenario"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// demoFolder is what a demonstration has left and said.
type demoFolder struct {
	files  map[string]string
	result struct {
		Page  string
		Files []struct{ Name, About string }

		Chapters []struct {
			Title string
			Steps []demoShown
		}
		Warnings []string
	}
}

// demoShown is a step as --json tells it.
type demoShown struct {
	Name, Why, Command string
	TextFile           string `json:"text_file"`
	JSONFile           string `json:"json_file"`
}

// newDemo runs the demonstration in a folder of its own, and reads all that is
// there then.
func newDemo(t *testing.T) demoFolder {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "demo")
	r := invoke("demo", dir, "--json")
	require.Equal(t, statusDone, r.status, r.stderr)
	require.Empty(t, r.stderr, "what a step notes stands with the step")
	d := demoFolder{files: map[string]string{}}
	require.NoError(t, json.Unmarshal([]byte(r.stdout), &d.result))
	require.NotNil(t, d.result.Warnings)
	require.NoError(t, filepath.WalkDir(dir, func(path string, entry os.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		name, err := filepath.Rel(dir, path)
		require.NoError(t, err)
		text, err := os.ReadFile(path)
		d.files[filepath.ToSlash(name)] = string(text)
		return err
	}))
	return d
}

// sharedDemo is a demonstration that tests only read.
func sharedDemo(t *testing.T) demoFolder {
	t.Helper()
	if onceDemo == nil {
		d := newDemo(t)
		onceDemo = &d
	}
	return *onceDemo
}

var onceDemo *demoFolder

func (d demoFolder) read(t *testing.T, name string) string {
	t.Helper()
	text, found := d.files[name]
	require.True(t, found, "no file %s", name)
	return text
}

func (d demoFolder) steps() []demoShown {
	var list []demoShown
	for _, c := range d.result.Chapters {
		list = append(list, c.Steps...)
	}
	return list
}

// found reads what a step found, with every digit.
func (d demoFolder) found(t *testing.T, name string) map[string]any {
	t.Helper()
	for _, s := range d.steps() {
		if s.Name == name {
			var out map[string]any
			require.NoError(t, json.Unmarshal([]byte(d.read(t, s.JSONFile)), &out))
			return out
		}
	}
	require.Fail(t, "no step "+name)
	return nil
}

func TestDemoRunsTheWholeJob(t *testing.T) {
	home := t.TempDir()
	for _, name := range []string{"HOME", "XDG_DATA_HOME", "APPDATA", "LOCALAPPDATA"} {
		t.Setenv(name, home)
	}
	t.Setenv("BRINEMARK_LOGBOOK", filepath.Join(home, "mine.db"))
	here, err := os.Getwd()
	require.NoError(t, err)
	dir := filepath.Join(t.TempDir(), "demo")
	r := invoke("demo", dir)
	require.Equal(t, statusDone, r.status, r.stderr)
	assert.Empty(t, r.stderr, "what a step notes stands with the step")
	for _, want := range []string{
		"$ brinemark recipe --salt NaCl", "$ brinemark recipe made", "--save A", "$ brinemark meter add", "$ brinemark bottle show B",
		"$ brinemark calibrate old-pen.csv --meter old-pen", "$ brinemark compare both-pens.csv", "$ brinemark event add tub-probe adjusted",
		"$ brinemark bottle weigh A", "$ brinemark drift --meter tub-probe", "$ brinemark correct tub-log.csv --meter ec=tub-probe --temp water_C",
		"$ brinemark constants tub-probe", "Open " + dir + "/index.html", "cd " + dir,
	} {
		assert.Contains(t, r.stdout, want)
	}
	assert.NotContains(t, r.stdout, filepath.Join(dir, "old-pen.csv"), "commands are shown as they are typed in the folder")

	left, err := os.ReadDir(home)
	require.NoError(t, err)
	assert.Empty(t, left, "nothing of the person's own is touched")
	back, err := os.Getwd()
	require.NoError(t, err)
	assert.Equal(t, here, back)
	assert.InDelta(t, time.Now().Unix(), now().Unix(), 60, "the clock is that of the machine again")
}

// All that is listed is there and holds something, and nothing else is there.
func TestDemoListsItsFiles(t *testing.T) {
	d := sharedDemo(t)
	listed := map[string]bool{}
	for _, f := range d.result.Files {
		listed[f.Name] = true
		text := d.read(t, f.Name)
		assert.Greater(t, len(text), 60, f.Name)
		if strings.HasSuffix(f.Name, ".csv") {
			assert.GreaterOrEqual(t, strings.Count(text, "\n"), 4, f.Name)
			assert.Contains(t, d.read(t, "README.txt"), f.Name)
		}
	}
	for _, name := range []string{
		"README.txt", "index.html", demoRecord, headerFile, labelsFile, sheetFile, sheetTable, recordFile, "meter-tub-probe.html", driftChartFile, oldPenChartFile, compareChartFile, correctChartFile,
		correctedFile, eventsFile, dailyFile, calendarFile, scenario.TubFile, scenario.TubTruthFile,
	} {
		assert.True(t, listed[name], name)
	}
	for name := range d.files {
		assert.True(t, listed[name], name)
	}
}

// random is what differs from run to run: the IDs of records, the numbers of
// reports, which follow from them, and where the folder lies.
var random = regexp.MustCompile(`2026-03-01, [0-9a-f]{8}|\d{4}-\d\d-\d\d-[0-9a-z]{12}|record  .*|"record": ".*"`)

// Two runs at different times, in different zones, give the same but for the
// IDs of records.
func TestDemoIsTheSameEveryTime(t *testing.T) {
	first := sharedDemo(t)
	zone, clock := time.Local, now
	defer func() { time.Local, now = zone, clock }()
	time.Local = time.FixedZone("far east", 13*3600)
	now = func() time.Time { return time.Date(2031, 5, 6, 7, 8, 9, 0, time.UTC) }
	second := newDemo(t)
	require.Equal(t, first.result.Files, second.result.Files)
	for _, f := range first.result.Files {
		if f.Name == demoRecord {
			continue
		}
		same := random.ReplaceAllString(first.read(t, f.Name), "ID") == random.ReplaceAllString(second.read(t, f.Name), "ID")
		assert.True(t, same, f.Name)
	}
}

// Whoever types the commands in a folder that holds only what the person wrote
// down gets what stands in results.
func TestDemoCommandsCanBeTyped(t *testing.T) {
	d := sharedDemo(t)
	inputs, err := scenario.Files()
	require.NoError(t, err)
	t.Chdir(t.TempDir())
	for _, f := range inputs {
		require.NoError(t, os.WriteFile(f.Name, []byte(d.read(t, f.Name)), 0o600))
	}
	bottles, err := scenario.Bottles()
	require.NoError(t, err)
	clock := now
	defer func() { now = clock }()
	shown := d.steps()
	for _, chapter := range demoStory(bottles) {
		for _, step := range chapter.steps {
			s := shown[0]
			shown = shown[1:]
			words := shellWords(t, s.Command)
			require.Equal(t, "brinemark", words[0])
			now = func() time.Time { return step.clock }
			again := invoke(words[1:]...)
			require.Equal(t, statusDone, again.status, again.stderr)
			assert.Equal(t, random.ReplaceAllString(d.read(t, s.TextFile), "ID"), random.ReplaceAllString(again.stdout+again.stderr, "ID"), s.Command)
			for _, f := range step.makes {
				assert.FileExists(t, f.Name)
			}
		}
	}
	assert.Empty(t, shown)
	assert.Greater(t, len(d.steps()), 40)
}

func TestDemoRefusesAFolderThatIsNotEmpty(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "demo")
	require.NoError(t, os.MkdirAll(dir, 0o755))
	mine := filepath.Join(dir, "mine.txt")
	require.NoError(t, os.WriteFile(mine, []byte("mine"), 0o600))
	require.NoError(t, os.WriteFile(dir+"-2", nil, 0o600))
	r := invoke("demo", dir)
	assert.Equal(t, statusBadInput, r.status)
	assert.Empty(t, r.stdout)
	assert.Contains(t, r.stderr, "brinemark demo "+dir+"-3", "says what to type instead")
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Len(t, entries, 1, "nothing is written")

	r = invoke("demo", mine)
	assert.Equal(t, statusBadInput, r.status)
	assert.Contains(t, r.stderr, "is a file")
	assert.Equal(t, statusBadInput, invoke("demo").status)
	r = invoke("demo", filepath.Join(mine, "below"))
	assert.Equal(t, statusBadInput, r.status)
	assert.Contains(t, r.stderr, "there is no folder "+mine, "it is a file")

	r = invoke("demo", "")
	assert.Equal(t, statusBadInput, r.status)

	spaced := filepath.Join(t.TempDir(), "my demo")
	require.NoError(t, os.MkdirAll(filepath.Join(spaced, "mine"), 0o755))
	assert.Contains(t, invoke("demo", spaced).stderr, "brinemark demo '"+spaced+"-2'", "a name with a space is quoted")
}

// DIR is made, and nothing above it: a slip of the pen in a path makes no tree.
func TestDemoMakesOneFolder(t *testing.T) {
	t.Chdir(t.TempDir())
	below := filepath.Join("not", "there", "demo")
	r := invoke("demo", below)
	assert.Equal(t, statusBadInput, r.status)
	assert.Empty(t, r.stdout)
	assert.Contains(t, r.stderr, "there is no folder "+filepath.Join("not", "there")+";")
	assert.Contains(t, r.stderr, "brinemark demo demo")
	entries, err := os.ReadDir(".")
	require.NoError(t, err)
	assert.Empty(t, entries)
	for _, dir := range []string{"./brinemark-demo", "demo/", filepath.Join("demo", "..", "third")} { // as in the README, and with more signs
		assert.Equal(t, statusDone, invoke("demo", dir).status, dir)
	}
	assert.FileExists(t, filepath.Join("third", demoPage))
}

// failing takes a number of writes, and refuses all after them.
type failing struct{ left int }

func (f *failing) Write(text []byte) (int, error) {
	if f.left--; f.left < 0 {
		return 0, errors.New("no room")
	}
	return len(text), nil
}

func TestDemoThatFailsLeavesNothing(t *testing.T) {
	here, err := os.Getwd()
	require.NoError(t, err)
	for _, writes := range []int{0, 25, 50} { // with nothing yet, with the record, with all but the last words
		dir := filepath.Join(t.TempDir(), "demo")
		var stderr strings.Builder
		status := run([]string{"brinemark", "demo", dir}, strings.NewReader(""), &failing{writes}, &stderr)
		assert.Equal(t, statusCouldNot, status, writes)
		assert.NoDirExists(t, dir, "the same command can be tried again")
		back, err := os.Getwd()
		require.NoError(t, err)
		assert.Equal(t, here, back)
	}
}

// A command of the story that fails takes everything with it, in a folder that
// was there before too, and says which it was.
func TestDemoStepThatFails(t *testing.T) {
	dir := t.TempDir()
	r := runFailingDemo(t, dir, demoStep{name: "wrong", command: []string{"calibrate", "no-such.csv"}})
	assert.ErrorContains(t, r, "brinemark calibrate no-such.csv")
	assert.ErrorContains(t, r, "status 2")
	r = runFailingDemo(t, dir, demoStep{name: "nothing", command: []string{"calibrate", "--point", "1=1"}, makes: []reportsFile{{Name: "picture.svg"}}})
	assert.ErrorContains(t, r, "made no picture.svg")
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Empty(t, entries)
}

func TestDemoInAnEmptyFolderNamedLikeAFlag(t *testing.T) {
	t.Chdir(t.TempDir())
	require.NoError(t, os.Mkdir("-x", 0o755))
	r := invoke("demo", "--", "-x")
	assert.Equal(t, statusDone, r.status, r.stderr)
	assert.FileExists(t, filepath.Join("-x", "README.txt"))
	assert.FileExists(t, filepath.Join("-x", "index.html"))
}

// The program itself, as a person runs it.
func TestDemoOfTheBuiltProgram(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "demo")
	stdout, stderr, status := brinemark(t, "demo", dir)
	assert.Equal(t, statusDone, status, stderr)
	assert.Empty(t, stderr)
	assert.Contains(t, stdout, "index.html in a browser")
	text, err := os.ReadFile(filepath.Join(dir, "index.html"))
	require.NoError(t, err)
	assert.Contains(t, string(text), "Every step, as it was typed")
	stdout, stderr, status = brinemark(t, "logbook", "check", "--json", "--logbook", filepath.Join(dir, demoRecord))
	assert.Equal(t, statusDone, status, stderr)
	assert.Contains(t, stdout, `"ok": true`)
	_, stderr, status = brinemark(t, "demo", dir)
	assert.Equal(t, statusBadInput, status)
	assert.Contains(t, stderr, "is not empty")
}
