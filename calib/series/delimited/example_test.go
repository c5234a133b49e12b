package delimited_test

import (
	"fmt"

	"github.com/brinemark/brinemark/calib/series/delimited"
)

// A row of a log, its fields found in place and written out again with one more
// behind them: the quotes and the line end stay as they were.
func Example() {
	log := []byte("time;ec;note\r\n08:30;1200,5;\"topped up; 2 L\"\r\n")
	form := delimited.Detect(log, func(name string) bool { return name == "time" || name == "ec" })
	header, _ := form.Header(log)
	fmt.Println(len(header), "columns:", header)

	_, _, second, _ := form.Row(log, 0, nil)
	fields, end, next, err := form.Row(log, second, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s is %s (%s)\n", header[1], fields[1].Bytes(log), fields[2].Value(log, nil))

	row := append([]byte(nil), log[second:end]...)
	row = form.AppendField(append(row, form.Separator), "1224,5")
	row = append(row, log[end:next]...)
	fmt.Printf("%q\n", row)
	// Output:
	// 3 columns: [time ec note]
	// ec is 1200,5 (topped up; 2 L)
	// "08:30;1200,5;\"topped up; 2 L\";1224,5\r\n"
}
