package main

import (
	"database/sql"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// oddNames are names that a shell would take for something else. The last ones
// would run a command, and make a file of it.
var oddNames = []string{
	"P1", "tent pen", "a:b", "a=b c", "x@y", "!bang", "~root", "#hash", "st*r", "{a}{b}", "amp & pipe |", "<less>", "(round)", "[x]?", "%s", "^up",
	"水 bottle", "$HOME", "$(touch harm)", "`touch harm`", "${x:=$(touch harm)}", "x$(touch harm)", "$((1+a[$(touch harm)]))",
}

// oddFile is the file of oddRecord, made by the first test that wants it.
var oddFile []byte

// oddRecord is a record with bottles and meters of such names.
func oddRecord(t *testing.T) *session {
	t.Helper()
	s := newSession(t)
	if oddFile != nil {
		require.NoError(t, os.WriteFile(s.file, oddFile, 0o600))
		return s
	}
	for _, name := range oddNames {
		s.ok("bottle", "add", name, "--salt", "NaCl", "--strength", "600mg/L", "--full-mass", "500g", "--empty-mass", "50g", "--u-bottle-mass", "1g")
		s.ok("meter", "add", name, "--quantity", "ec")
	}
	s.ok("meter", "add", "only a meter", "--quantity", "ph")
	s.ok("bottle", "weigh", "P1", "--mass", "499g", "--time", "2026-02-20")
	s.ok("bottle", "add", "tent pen", "--salt", "KCl", "--strength", "600mg/L", "--correct")
	copied := filepath.Join(t.TempDir(), "copy.db")
	s.ok("logbook", "backup", copied)
	var err error
	oddFile, err = os.ReadFile(copied)
	require.NoError(t, err)
	return s
}

func TestCompletionIDs(t *testing.T) {
	s := oddRecord(t)
	listed := strings.Split(strings.TrimSuffix(s.ok("completion", "ids", "bottle"), "\n"), "\n")
	assert.ElementsMatch(t, oddNames, listed, "each once, whatever its versions")
	listed = strings.Split(strings.TrimSuffix(s.ok("completion", "ids", "meter"), "\n"), "\n")
	assert.ElementsMatch(t, append([]string{"only a meter"}, oddNames...), listed)

	t.Setenv("BRINEMARK_LOGBOOK", s.file)
	assert.Contains(t, invoke("completion", "ids", "meter").stdout, "only a meter\n")
	assert.Empty(t, invoke("completion", "ids", "meter", "--logbook", s.file+"x").stdout, "the flag goes before the environment")
	assert.Contains(t, s.json("completion", "ids", "meter")["text"], "only a meter\n")

	assert.NotContains(t, invoke("completion", "--help").stdout, "ids")
	assert.NotContains(t, invoke("manual").stdout, "completion ids")
	for _, args := range [][]string{{"completion", "ids"}, {"completion", "ids", "event"}, {"completion", "ids", "meter", "bottle"}} {
		r := invoke(args...)
		assert.Equal(t, statusBadInput, r.status)
		assert.Empty(t, r.stdout)
	}
}

// What cannot be read has no IDs, and nothing is said or made.
func TestCompletionIDsOfNoRecord(t *testing.T) {
	s := oddRecord(t)
	good, err := os.ReadFile(s.file)
	require.NoError(t, err)
	folder := t.TempDir()
	for name, content := range map[string][]byte{"empty": {}, "text": []byte(strings.Repeat("no record ", 100)), "cut": good[:len(good)/3], "torn": append(append([]byte(nil), good[:200]...), make([]byte, len(good)-200)...)} {
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), content, 0o600))
	}
	require.NoError(t, os.Mkdir(filepath.Join(folder, "folder"), 0o755))
	before := filesIn(t, folder)
	for _, name := range []string{"none", "empty", "text", "cut", "torn", "folder", filepath.Join("no", "such.db"), filepath.Join("text", "below.db")} {
		r := invoke("--logbook", filepath.Join(folder, name), "completion", "ids", "bottle")
		assert.Equal(t, outcome{status: statusDone}, r, name)
	}
	assert.Equal(t, before, filesIn(t, folder))

	t.Setenv("BRINEMARK_LOGBOOK", "")
	home := t.TempDir()
	for _, name := range []string{"HOME", "XDG_DATA_HOME", "LocalAppData"} {
		t.Setenv(name, home)
	}
	assert.Equal(t, outcome{status: statusDone}, invoke("completion", "ids", "meter"))
	assert.Empty(t, filesIn(t, home))
	for _, name := range []string{"HOME", "XDG_DATA_HOME", "LocalAppData"} {
		t.Setenv(name, "")
	}
	assert.Equal(t, outcome{status: statusDone}, invoke("completion", "ids", "meter"), "no home is known")
}

// Names that no command would take, written into the file by something else, are
// not offered: one could look like two, or like a flag.
func TestCompletionIDsOfATamperedRecord(t *testing.T) {
	s := newSession(t)
	s.ok("meter", "add", "P1", "--quantity", "ec")
	db, err := sql.Open("sqlite", s.file)
	require.NoError(t, err)
	_, err = db.Exec("DROP TRIGGER IF EXISTS none")
	require.NoError(t, err)
	var columns []string
	rows, err := db.Query("SELECT name FROM pragma_table_info('meter')")
	require.NoError(t, err)
	for rows.Next() {
		var name string
		require.NoError(t, rows.Scan(&name))
		columns = append(columns, name)
	}
	require.NoError(t, rows.Close())
	var chosen []string
	for _, c := range columns {
		switch c {
		case "seq":
			chosen = append(chosen, "NULL")
		case "id", "meter":
			chosen = append(chosen, "?1")
		default:
			chosen = append(chosen, c)
		}
	}
	for _, name := range []string{"two\nlines", "--all", `"quoted"`, "it's", "back\\slash", "\x1b[2J", "tab\there"} {
		_, err := db.Exec("INSERT INTO meter SELECT "+strings.Join(chosen, ", ")+" FROM meter WHERE id = 'P1'", name)
		require.NoError(t, err)
	}
	require.NoError(t, db.Close())
	assert.Equal(t, "P1\n", s.ok("completion", "ids", "meter"))
}

// A shell asks while a word is being typed: where another process holds the
// record, the answer is empty and comes long before other commands give up.
func TestCompletionIDsDoNotWait(t *testing.T) {
	assert.Less(t, idsWait, logbook.DefaultWait/10)
	s := oddRecord(t)
	assert.Contains(t, s.ok("completion", "ids", "bottle"), "tent pen")
	db, err := sql.Open("sqlite", s.file)
	require.NoError(t, err)
	defer db.Close()
	db.SetMaxOpenConns(1)
	_, err = db.Exec("BEGIN EXCLUSIVE")
	require.NoError(t, err)
	assert.Empty(t, s.ok("completion", "ids", "bottle"))
	_, err = db.Exec("ROLLBACK")
	require.NoError(t, err)
	assert.Contains(t, s.ok("completion", "ids", "bottle"), "tent pen")
}

// BenchmarkCompletionIDs is what a shell waits for at the key, as a whole process.
func BenchmarkCompletionIDs(b *testing.B) {
	program, file := buildBinary(b), filepath.Join(b.TempDir(), "logbook.db")
	require.NoError(b, exec.Command(program, "bottle", "add", "A", "--buffer", "7.00", "--logbook", file).Run())
	for b.Loop() {
		require.NoError(b, exec.Command(program, "completion", "ids", "bottle", "--logbook", file).Run())
	}
}

// onPath puts the built program where shells look for it, and the record into the
// environment.
func onPath(t *testing.T, s *session) {
	t.Helper()
	t.Setenv("PATH", filepath.Dir(buildBinary(t))+string(os.PathListSeparator)+os.Getenv("PATH"))
	t.Setenv("BRINEMARK_LOGBOOK", s.file)
	t.Setenv("LC_ALL", "C.UTF-8")
}

// idsAt are places where an ID is typed, before it, with whether it is a bottle's
// or a meter's.
var idsAt = map[string]string{
	"label": "bottle", "label P1": "bottle", "bottle show": "bottle", "bottle weigh --mass 3g": "bottle", "sheet --bottle": "bottle", "label --out x.html": "bottle",
	"meter show": "meter", "meter retire": "meter", "event add": "meter", "drift --meter": "meter", "calibrate x.csv --meter": "meter",
	"report --meter": "meter", "bottle show P1 --meter": "meter", "sheet --bottle P1 --meter": "meter", "constants": "meter", "compensation --meter": "meter",
	"bottle add": "", "meter add": "", "bottle list": "", "event add P1": "", "bottle show P1": "", "label --out": "", "calibrate": "", "demo": "",
}

// judgeIDs holds what a shell offered at a place against the record.
func judgeIDs(t *testing.T, at, offered string) {
	t.Helper()
	words := strings.Split(offered, "\n")
	for i, w := range words {
		words[i], _, _ = strings.Cut(w, "\t")
	}
	want := idsAt[at]
	for _, name := range oddNames {
		assert.Equal(t, want != "", contains(words, name), "%s: %q in %q", at, name, offered)
	}
	assert.Equal(t, want == "meter", contains(words, "only a meter"), at)
	_, err := os.Stat("harm")
	assert.ErrorIs(t, err, os.ErrNotExist, "%s: a name was run", at)
}

func contains(list []string, text string) bool {
	for _, one := range list {
		if one == text {
			return true
		}
	}
	return false
}

// bashOffers runs the function as bash does, with the line as it is typed, and
// prints what each offer means to the shell when it is typed after the rest.
const bashOffers = `source "$0"
COMP_LINE="$1" COMP_POINT=${#1} COMP_WORDS=() COMP_CWORD=0
_brinemark brinemark "$2" || true
for word in "${COMPREPLY[@]}"; do
  eval "words=(${COMP_LINE%"$2"}$word$3)" # as if Enter was pressed
  printf '%s\n' "${words[${#words[@]}-1]}"
done`

func TestBashCompletesIDs(t *testing.T) {
	bash, script := completing(t, "bash")
	s := oddRecord(t)
	onPath(t, s)
	offers := func(line, typed, end string) string {
		out, err := exec.Command(bash, "--norc", "-c", bashOffers, script, "brinemark "+line, typed, end).CombinedOutput()
		require.NoError(t, err, "%s: %s", line, out)
		return string(out)
	}
	for at := range idsAt {
		judgeIDs(t, at, offers(at+" ", "", ""))
	}
	judgeIDs(t, "label", offers(`label '`, "", "'"))
	for _, c := range []struct{ line, typed, end, want string }{
		{`label te`, "te", "", "tent pen\n"}, {`label tent\ p`, `tent\ p`, "", "tent pen\n"}, {`label "tent p`, "tent p", `"`, "tent pen\n"}, {`label te"nt p`, "nt p", `"`, "tent pen\n"},
		{`label a:`, "", "", "a:b\n"}, {`label 'a:`, "a:", "'", "a:b\n"}, {`label a=b\ `, `b\ `, "", "a=b c\n"}, {`label x@`, "@", "", "x@y\n"},
		{`label "\$(`, `\$(`, `"`, "$((1+a[$(touch harm)]))\n$(touch harm)\n"}, {"label \"\\`", "\\`", `"`, "`touch harm`\n"}, {`label \$\(t`, `\$\(t`, "", "$(touch harm)\n"},
		{`drift --meter=only`, "only", "", "--meter=only a meter\n"}, {`correct x.csv --meter ec=only`, "only", "", "ec=only a meter\n"}, {`correct x.csv --meter=ec=only`, "only", "", "--meter=ec=only a meter\n"},
		{`correct x.csv --meter onl`, "onl", "", ""}, {`label "!b`, "!b", `"`, ""}, {`label --logbook none.db te`, "te", "", ""}, {`--logbook=none.db label te`, "te", "", ""},
		{`label --logbook '` + s.file + `' te`, "te", "", "tent pen\n"}, {`--logbook="` + s.file + `" label te`, "te", "", "tent pen\n"},
	} {
		assert.Equal(t, c.want, offers(c.line, c.typed, c.end), c.line)
	}
	// What a line would run is not run while it is completed.
	for _, line := range []string{`label "$(touch harm)" `, "--logbook `touch harm` label ", `label $(touch harm)`, `--logbook "$(touch harm)" label "$(touch harm)`} {
		out, err := exec.Command(bash, "--norc", "-c", `source "$0"; COMP_LINE="$1" COMP_POINT=${#1}; _brinemark brinemark ""`, script, "brinemark "+line).CombinedOutput()
		require.NoError(t, err)
		assert.Empty(t, string(out), line)
		assert.NoFileExists(t, "harm", line)
	}
	assert.Len(t, filesIn(t, filepath.Dir(s.file)), 1, "nothing is left beside the record")
}

func TestZshCompletesIDs(t *testing.T) {
	zsh, script := completing(t, "zsh")
	onPath(t, oddRecord(t))
	offers := func(words ...string) string {
		out, err := exec.Command(zsh, append([]string{"-f", "-c", zshHarness, "zsh", script}, words...)...).CombinedOutput()
		require.NoError(t, err, "%q: %s", words, out)
		assert.NotContains(t, string(out), "zsh:")
		return string(out)
	}
	for at := range idsAt {
		judgeIDs(t, at, offers(append(strings.Fields(at), "")...))
	}
	assert.Equal(t, "tent pen\n", offers("label", `\$\(touch\ harm\)`, "te"))
	assert.Equal(t, "tent pen\n", offers("label", `"$(touch harm)"`, "te"))
	assert.Equal(t, "only a meter\n", offers("correct", "x.csv", "--meter", "ec=only"))
	assert.Equal(t, "only a meter\n", offers("drift", "--meter=only"))
	assert.Equal(t, "", offers("--logbook", "none.db", "label", "te"))
	assert.Equal(t, "", offers("--logbook='none.db'", "label", "te"))
	assert.NoFileExists(t, "harm")
}

func TestFishCompletesIDs(t *testing.T) {
	fish, script := completing(t, "fish")
	onPath(t, oddRecord(t))
	t.Setenv("HOME", t.TempDir())
	offers := func(line string) string {
		out, err := exec.Command(fish, "-N", "-c", `source $argv[1]; complete -C"$argv[2]"`, script, "brinemark "+line).CombinedOutput()
		require.NoError(t, err, "%q: %s", line, out)
		return regexp.MustCompile("(?m)\t.*$").ReplaceAllString(string(out), "") // what it means
	}
	for at := range idsAt {
		judgeIDs(t, at, offers(at+" "))
	}
	assert.Equal(t, "tent pen\n", offers(`label \$\(touch\ harm\) te`))
	assert.Equal(t, "ec=only a meter\n", offers(`correct x.csv --meter ec=only`))
	assert.Equal(t, "--meter=only a meter\n", offers(`drift --meter=only`))
	assert.Equal(t, "", offers(`--logbook none.db label te`))
	assert.Equal(t, "", offers(`--logbook=none.db label te`))
	assert.NotContains(t, offers(`label (touch harm) "$(touch harm)" te`), "harm")
	assert.NoFileExists(t, "harm")
}
