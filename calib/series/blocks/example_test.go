package blocks_test

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"github.com/brinemark/brinemark/calib/series/blocks"
)

// A log read in stretches of about 20 bytes: each ends with a row.
func Example() {
	lastLine := func(text []byte) int { return bytes.LastIndexByte(text, '\n') + 1 }
	log := strings.NewReader("time,ec\n10:00,1200\n10:01,1203\n10:02,1198\n10:03,12")
	cutter := blocks.NewCutter(log, blocks.Limits{Size: 20, Most: 1000}, lastLine)
	var stretch []byte
	for {
		var err error
		if stretch, err = cutter.Next(stretch); err == io.EOF {
			break
		} else if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%q\n", stretch)
	}
	// Output:
	// "time,ec\n10:00,1200\n"
	// "10:01,1203\n"
	// "10:02,1198\n10:03,12"
}
