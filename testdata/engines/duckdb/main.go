// Command duckdb runs SQL in DuckDB, one statement or script an argument, in a
// database in memory, and prints the rows of the last one as CSV. It is for
// comparisons with DuckDB where its own shell is not installed.
package main

import (
	"database/sql"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"

	_ "github.com/duckdb/duckdb-go/v2"
)

func main() {
	if err := run(os.Args[1:], os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "duckdb:", err)
		os.Exit(1)
	}
}

func run(statements []string, out io.Writer) error {
	if len(statements) == 0 {
		return fmt.Errorf("want SQL as arguments")
	}
	db, err := sql.Open("duckdb", "")
	if err != nil {
		return err
	}
	defer db.Close()
	db.SetMaxOpenConns(1)
	last := len(statements) - 1
	for i, statement := range statements[:last] {
		if _, err := db.Exec(statement); err != nil {
			return fmt.Errorf("argument %d: %w", i+1, err)
		}
	}
	rows, err := db.Query(statements[last])
	if err != nil {
		return fmt.Errorf("argument %d: %w", last+1, err)
	}
	defer rows.Close()
	return print(rows, out)
}

// print writes rows as CSV, without a header; NULL is empty.
func print(rows *sql.Rows, out io.Writer) error {
	columns, err := rows.Columns()
	if err != nil {
		return err
	}
	w := csv.NewWriter(out)
	cells, places, line := make([]any, len(columns)), make([]any, len(columns)), make([]string, len(columns))
	for i := range cells {
		places[i] = &cells[i]
	}
	for rows.Next() {
		if err := rows.Scan(places...); err != nil {
			return err
		}
		for i, cell := range cells {
			if line[i] = ""; cell != nil {
				line[i] = fmt.Sprint(cell)
			}
		}
		if err := w.Write(line); err != nil {
			return err
		}
	}
	w.Flush()
	return errors.Join(rows.Err(), w.Error())
}
