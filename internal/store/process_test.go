package store

import (
	"bufio"
	"context"
	"fmt"
	"os"
	"os/exec"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/wax"
)

// recorderPath names the store that another process of these tests records to.
const recorderPath = "SETSHADE_TEST_RECORDER"

func TestMain(m *testing.M) {
	if path := os.Getenv(recorderPath); path != "" {
		record(path)
		return
	}
	os.Exit(m.Run())
}

// record records one photograph after the other until it is killed, and prints
// the hash of each as soon as it is acknowledged. It lets go in between, as a
// program does that has photographs to read: SQLite's lock has no queue, and a
// writer without a pause can keep others out.
func record(path string) {
	ctx := context.Background()
	s, err := Open(ctx, path)
	for i := 0; err == nil; i++ {
		card := photo(fmt.Sprintf("%d of process %d", i, os.Getpid()))
		_, err = s.Record(ctx, card, []wax.Swatch{swatch(1, wax.Part{Dye: "Slate", DoseGPerKg: 1}), swatch(2)})
		if err == nil {
			fmt.Println(hashOf(card.Bytes))
			time.Sleep(5 * time.Millisecond)
		}
	}
	fmt.Fprintln(os.Stderr, err)
	os.Exit(1)
}

// startRecorder starts a process that records to the store.
func startRecorder(t *testing.T, path string) (*exec.Cmd, *bufio.Scanner) {
	t.Helper()
	command := exec.Command(os.Args[0])
	command.Env = append(os.Environ(), recorderPath+"="+path)
	command.Stderr = os.Stderr
	out, err := command.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, command.Start())
	t.Cleanup(func() { command.Process.Kill() })
	return command, bufio.NewScanner(out)
}

// Two processes record at once, and one is killed: what either acknowledged is
// there, with its photograph, and the store is sound.
func TestKilledWhileRecording(t *testing.T) {
	ctx, s := context.Background(), stockedStore(t)
	var acknowledged []string
	for round := range 3 {
		recorder, hashes := startRecorder(t, s.Path())
		for i := range 1 + round {
			require.True(t, hashes.Scan(), "the recorder stopped by itself")
			acknowledged = append(acknowledged, hashes.Text())
			name := fmt.Sprintf("ours %d of round %d", i, round)
			recordCard(t, s, name, 2)
			acknowledged = append(acknowledged, hashOf(photo(name).Bytes))
		}
		require.NoError(t, recorder.Process.Kill())
		for hashes.Scan() {
			acknowledged = append(acknowledged, hashes.Text())
		}
		require.Error(t, recorder.Wait(), "killed")
	}

	again := openAt(t, s.Path())
	for _, hash := range acknowledged {
		_, err := again.Photo(ctx, hash)
		require.NoError(t, err)
	}
	photos := count(t, again, "photos")
	assert.GreaterOrEqual(t, photos, len(acknowledged))
	assert.Equal(t, 2*photos, count(t, again, "swatches"), "never half a photograph")
	var sound string
	require.NoError(t, again.db.QueryRow("PRAGMA integrity_check").Scan(&sound))
	assert.Equal(t, "ok", sound)
}
