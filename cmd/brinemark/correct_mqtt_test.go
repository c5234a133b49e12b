package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"os"
	"os/exec"
	"strconv"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// broker starts an MQTT broker on a free port of this machine alone, and returns
// the port. The test is skipped where the programs are missing.
func broker(t *testing.T) (port string) {
	t.Helper()
	for _, name := range []string{"mosquitto", "mosquitto_sub", "mosquitto_pub"} {
		if _, err := exec.LookPath(name); err != nil {
			skipWithout(t, name+" is not installed (Debian: apt-get install mosquitto mosquitto-clients)")
		}
	}
	free, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	port = strconv.Itoa(free.Addr().(*net.TCPAddr).Port)
	require.NoError(t, free.Close())
	start(t, exec.Command("mosquitto", "-p", port))
	for range 500 {
		if c, err := net.Dial("tcp", "127.0.0.1:"+port); err == nil {
			c.Close()
			return port
		}
		time.Sleep(20 * time.Millisecond)
	}
	t.Fatal("the broker does not answer")
	return ""
}

// start starts a program, and ends it with the test.
func start(t *testing.T, command *exec.Cmd) {
	t.Helper()
	var said safeBuffer
	if command.Stderr == nil {
		command.Stderr = &said
	}
	require.NoError(t, command.Start())
	t.Cleanup(func() {
		command.Process.Kill()
		command.Wait()
		if t.Failed() && said.String() != "" {
			t.Logf("%s said: %s", command.Path, said.String())
		}
	})
}

// safeBuffer is a buffer that a program writes and a test reads.
type safeBuffer struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (s *safeBuffer) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.Write(p)
}

func (s *safeBuffer) String() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.String()
}

// A controller's feed, corrected on its way from one topic of a broker to
// another, message by message: each comes out before the next goes in.
func TestCorrectBetweenMQTTTopics(t *testing.T) {
	port := broker(t)
	client := func(name, topic string, more ...string) *exec.Cmd {
		return exec.Command(name, append([]string{"-h", "127.0.0.1", "-p", port, "-t", topic}, more...)...)
	}
	pipe := func() (r, w *os.File) {
		r, w, err := os.Pipe()
		require.NoError(t, err)
		t.Cleanup(func() { r.Close(); w.Close() })
		return r, w
	}
	// mosquitto_sub -t tub/raw | brinemark correct - --follow ... | mosquitto_pub -t tub/corrected -l
	rawRead, rawWrite := pipe()
	correctedRead, correctedWrite := pipe()
	from, to := client("mosquitto_sub", "tub/raw"), client("mosquitto_pub", "tub/corrected", "-l")
	correct := exec.Command(buildBinary(t), append([]string{"correct", "-", "--follow"}, byTenPercent(t)...)...)
	from.Stdout, correct.Stdin, correct.Stdout, to.Stdin = rawWrite, rawRead, correctedWrite, correctedRead
	var said safeBuffer
	correct.Stderr = &said
	for _, command := range []*exec.Cmd{to, correct, from} {
		start(t, command)
	}
	watch := client("mosquitto_sub", "tub/corrected")
	out, err := watch.StdoutPipe()
	require.NoError(t, err)
	start(t, watch)
	messages := make(chan map[string]any)
	go readObjects(out, messages)

	send := func(ec float64, n int) {
		message := fmt.Sprintf(`{"time":"2026-03-11T00:00:00Z","ec":%v,"n":%d,"pump":{"on":true}}`, ec, n)
		require.NoError(t, client("mosquitto_pub", "tub/raw", "-m", message).Run())
	}
	// Nobody tells when both have subscribed: knock until something comes out.
	connected := false
	for n := 0; n < 100 && !connected; n++ {
		send(1, 0)
		select {
		case <-messages:
			connected = true
		case <-time.After(200 * time.Millisecond):
		}
	}
	require.True(t, connected, "nothing comes out: %s", said.String())
	for n := 1; n <= 5; n++ {
		ec := 600 + 10*float64(n)
		send(ec, n)
		for {
			var m map[string]any
			select {
			case m = <-messages:
			case <-time.After(20 * time.Second):
				require.FailNow(t, "a message is held back", "%d: %s", n, said.String())
			}
			if m["n"] == 0.0 {
				continue // a knock that came late
			}
			assert.Equal(t, float64(n), m["n"])
			assert.Equal(t, ec, m["ec"])
			assert.Equal(t, map[string]any{"on": true}, m["pump"])
			assert.InDelta(t, 1.1*ec, m["ec_corrected"], 1e-6)
			assert.Equal(t, "", m["ec_flag"])
			break
		}
	}
}

// readObjects passes on the JSON objects in a text, one a line.
func readObjects(r io.Reader, to chan<- map[string]any) {
	lines := bufio.NewScanner(r)
	for lines.Scan() {
		var m map[string]any
		if err := json.Unmarshal(lines.Bytes(), &m); err != nil {
			m = map[string]any{"wrong": lines.Text()}
		}
		to <- m
	}
}
