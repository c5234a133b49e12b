package calib_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const module = "github.com/brinemark/brinemark"

// foundations stand below everything: they hold no science of their own.
var foundations = []string{"calib/uncert", "calib/quantity", "calib/readings", "calib/spelling"}

// layer is how high a package stands; imports run downward or along a layer,
// never up: cmd, reports, calib, solutions, foundations.
func layer(folder string) int {
	if slices.Contains(foundations, folder) {
		return 0
	}
	switch top, _, _ := strings.Cut(folder, "/"); top {
	case "solutions":
		return 1
	case "calib":
		return 2
	case "reports":
		return 3
	}
	return 4 // cmd, and whatever is not known
}

// file is a parsed source file of the module.
type file struct {
	name, folder string
	test         bool
	syntax       *ast.File
}

// imports maps the names a file uses to the packages they stand for.
func (f file) imports(t *testing.T) map[string]string {
	t.Helper()
	list := map[string]string{}
	for _, spec := range f.syntax.Imports {
		target, err := strconv.Unquote(spec.Path.Value)
		require.NoError(t, err)
		name := path.Base(target)
		if strings.HasPrefix(name, "v") && len(name) == 2 {
			name = path.Base(path.Dir(target))
		}
		if spec.Name != nil {
			name = spec.Name.Name
		}
		list[name] = target
	}
	return list
}

// sources parses every Go file of the module.
func sources(t *testing.T) []file {
	t.Helper()
	var list []file
	set := token.NewFileSet()
	require.NoError(t, filepath.WalkDir("..", func(name string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		base := filepath.Base(name)
		if entry.IsDir() && (base == "testdata" || strings.HasPrefix(base, ".") && base != "..") {
			return fs.SkipDir
		}
		if entry.IsDir() || filepath.Ext(name) != ".go" {
			return nil
		}
		syntax, err := parser.ParseFile(set, name, nil, parser.ParseComments)
		if err != nil {
			return err
		}
		relative := strings.TrimPrefix(filepath.ToSlash(name), "../")
		list = append(list, file{relative, path.Dir(relative), strings.HasSuffix(relative, "_test.go"), syntax})
		return nil
	}))
	require.Greater(t, len(list), 20, "the whole module is parsed")
	return list
}

func TestImportsRunDownward(t *testing.T) {
	for _, f := range sources(t) {
		for _, target := range f.imports(t) {
			ours, ok := strings.CutPrefix(target, module+"/")
			if !ok {
				continue
			}
			assert.LessOrEqual(t, layer(ours), layer(f.folder), "%s imports %s, which stands above it", f.name, ours)
			if f.folder == "calib/uncert" {
				assert.Equal(t, f.folder, ours, "%s: uncert is the ground floor", f.name)
			}
			assert.False(t, ours == "calib", "%s: the root of calib holds documentation only", f.name)
		}
	}
}

// notInLibraries are packages by which a library would print, read the
// environment or flags, exit or reach out; the reason stands beside each.
var notInLibraries = map[string]string{
	"os": "reads the environment and files, and exits", "os/exec": "runs programs", "os/signal": "belongs to the process",
	"flag": "reads flags", "log": "prints", "log/slog": "prints", "net": "reaches out", "net/http": "reaches out", "syscall": "belongs to the process",
	"unsafe": "is not needed", "math/rand": "has a newer version, math/rand/v2", "testing": "belongs to tests",
}

// allowed are exceptions: "file imports package", with the reason.
var allowed = map[string]string{
	"calib/logbook/files.go imports os":             "the record is a file, made for its owner alone and looked at before SQLite has it",
	"calib/logbook/holder_linux.go imports os":      "the kernel's list of locks is a file",
	"calib/logbook/holder_linux.go imports syscall": "the identity of a file (its inode) is what that list goes by",
}

// notCalled are functions that a library does not call, as package.Name.
var notCalled = map[string]string{
	"fmt.Print": "prints", "fmt.Printf": "prints", "fmt.Println": "prints",
	"time.Now": "the clock is passed in", "time.Since": "the clock is passed in", "time.Local": "the zone is passed in",
}

func TestLibrariesStayQuiet(t *testing.T) {
	used := map[string]bool{}
	for _, f := range sources(t) {
		if f.test || strings.HasPrefix(f.folder, "cmd/") {
			continue
		}
		imports := f.imports(t)
		for _, target := range imports {
			reason, forbidden := notInLibraries[target]
			exception := f.name + " imports " + target
			if _, ok := allowed[exception]; ok {
				used[exception] = true
				continue
			}
			assert.False(t, forbidden, "%s, which %s; list an exception with its reason if that is right", exception, reason)
		}
		ast.Inspect(f.syntax, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.SelectorExpr:
				if x, ok := n.X.(*ast.Ident); ok && imports[x.Name] != "" {
					call := imports[x.Name] + "." + n.Sel.Name
					assert.NotContains(t, notCalled, call, "%s: %s", f.name, notCalled[call])
					if imports[x.Name] == "math/rand/v2" {
						assert.Contains(t, []string{"New", "NewPCG", "NewChaCha8", "Rand", "Source", "PCG"}, n.Sel.Name,
							"%s: the seed is passed in", f.name)
					}
				}
			case *ast.CallExpr:
				if x, ok := n.Fun.(*ast.Ident); ok && (x.Name == "print" || x.Name == "println") {
					assert.Fail(t, f.name+" calls "+x.Name)
				}
			}
			return true
		})
	}
	for exception := range allowed {
		assert.True(t, used[exception], "the exception %q is not needed any more", exception)
	}
}

// Each outside library has one place.
func TestOutsideLibrariesHaveTheirPlace(t *testing.T) {
	for _, f := range sources(t) {
		for _, target := range f.imports(t) {
			switch {
			case strings.HasPrefix(target, "github.com/jedib0t/go-pretty/"):
				assert.Equal(t, "reports", f.folder, "%s: only reports draws tables", f.name)
			case strings.HasPrefix(target, "github.com/urfave/cli/"):
				assert.Equal(t, "cmd/brinemark", f.folder, "%s: only the command reads flags", f.name)
			case strings.HasPrefix(target, "gonum.org/v1/plot"):
				assert.Equal(t, "reports/picture", f.folder, "%s: only picture draws charts", f.name)
			case strings.HasPrefix(target, "github.com/stretchr/testify/"):
				assert.True(t, f.test, "%s: only tests assert", f.name)
			}
		}
	}
}

// Every package teaches its idea in a comment, and shows it in an example that
// runs with the tests.
func TestEveryPackageTeaches(t *testing.T) {
	documented, shown := map[string]int{}, map[string]bool{}
	for _, f := range sources(t) {
		if f.syntax.Doc != nil && !f.test {
			documented[f.folder] = max(documented[f.folder], len(strings.Fields(f.syntax.Doc.Text())))
		} else if !f.test {
			documented[f.folder] += 0
		}
		if !f.test {
			continue
		}
		for _, declared := range f.syntax.Decls {
			if function, ok := declared.(*ast.FuncDecl); ok && strings.HasPrefix(function.Name.Name, "Example") {
				shown[f.folder] = true
			}
		}
	}
	for folder, words := range documented {
		assert.GreaterOrEqual(t, words, 40, "%s: the package comment", folder)
		if folder != "calib" && !strings.HasPrefix(folder, "cmd/") {
			assert.True(t, shown[folder], "%s: an example that runs", folder)
		}
	}
}

// The rules above would be worth nothing if they could not fail.
func TestLayersTellUpFromDown(t *testing.T) {
	order := []string{"calib/uncert", "solutions", "calib/line", "reports", "cmd/brinemark"}
	for i := 1; i < len(order); i++ {
		assert.Less(t, layer(order[i-1]), layer(order[i]))
	}
	assert.Equal(t, layer("solutions"), layer("solutions/plan"))
	assert.Equal(t, layer("calib/quantity"), layer("calib/uncert"))
}
