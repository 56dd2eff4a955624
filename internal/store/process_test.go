package store

import (
	"bufio"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"setshade/internal/wax"
)

// writerPath names the store that another process of these tests writes to, and
// killsWanted how often it is killed; 1000 for a full run.
const (
	writerPath  = "SETSHADE_TEST_WRITER"
	killsWanted = "SETSHADE_TEST_KILLS"
)

func TestMain(m *testing.M) {
	if path := os.Getenv(writerPath); path != "" {
		writeOn(path)
		return
	}
	os.Exit(m.Run())
}

// writeOn records photographs, saves what was learned, logs batches and removes
// swatches, one after the other until it is killed, and prints each as soon as it
// is acknowledged. It lets go in between, as a program does that has photographs
// to read: SQLite's lock has no queue, and a writer without a pause can keep
// others out.
func writeOn(path string) {
	ctx := context.Background()
	s, err := Open(ctx, path)
	for i := 0; err == nil; i++ {
		err = writeOnce(ctx, s, i)
		time.Sleep(time.Millisecond)
	}
	fmt.Fprintln(os.Stderr, err)
	os.Exit(1)
}

func writeOnce(ctx context.Context, s *Store, i int) error {
	card := photo(fmt.Sprintf("%d of process %d", i, os.Getpid()))
	recorded, err := s.Record(ctx, card, []wax.Swatch{swatch(1, wax.Part{Dye: "Slate", DoseGPerKg: 1}), swatch(2)})
	if err != nil {
		return err
	}
	fmt.Println("photo", hashOf(card.Bytes))
	if err := s.SaveLearned(ctx, "Harrow Soy", fmt.Appendf(nil, `{"from":%d}`, recorded[0].ID), noon); err != nil {
		return err
	}
	fmt.Println("learned", recorded[0].ID)
	logged, err := s.LogBatch(ctx, poured())
	if err != nil {
		return err
	}
	fmt.Println("batch", logged.ID)
	if i%4 == 3 {
		// The word comes first: from here on the photograph may be gone.
		fmt.Println("removing", hashOf(card.Bytes))
		if err := s.RemoveSwatches(ctx, recorded[0].ID, recorded[1].ID); err != nil {
			return err
		}
		fmt.Println("removed", hashOf(card.Bytes))
	}
	return nil
}

// startWriter starts a process that writes to the store.
func startWriter(t *testing.T, path string) (*exec.Cmd, *bufio.Scanner) {
	t.Helper()
	command := exec.Command(os.Args[0])
	command.Env = append(os.Environ(), writerPath+"="+path)
	command.Stderr = os.Stderr
	out, err := command.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, command.Start())
	t.Cleanup(func() { command.Process.Kill() })
	return command, bufio.NewScanner(out)
}

// acknowledged is what the writers of a store were told is kept.
type acknowledged struct {
	photos, removed map[string]bool
	batches         map[int64]bool
	// learned is the highest swatch that a kept lesson came from.
	learned int64
}

func nothingYet() *acknowledged {
	return &acknowledged{photos: map[string]bool{}, removed: map[string]bool{}, batches: map[int64]bool{}}
}

func (a *acknowledged) hear(t *testing.T, line string) {
	what, which, _ := strings.Cut(line, " ")
	switch what {
	case "photo":
		a.photos[which] = true
	case "removing":
		delete(a.photos, which)
	case "removed":
		a.removed[which] = true
	default:
		id, err := strconv.ParseInt(which, 10, 64)
		require.NoError(t, err, line)
		if what == "learned" {
			a.learned = id
		} else {
			a.batches[id] = true
		}
	}
}

// compare asks the store for everything that was acknowledged, and checks it.
func (a *acknowledged) compare(t *testing.T, path string) {
	ctx, s := context.Background(), openAt(t, path)
	found, err := s.Check(ctx, func(model []byte) error {
		var from int64
		_, err := fmt.Sscanf(string(model), `{"from":%d}`, &from)
		if err == nil && from < a.learned {
			err = fmt.Errorf("learned from %d, after %d was acknowledged", from, a.learned)
		}
		return err
	})
	require.NoError(t, err)
	require.Empty(t, found.Problems)
	assert.Equal(t, 2*found.Photos, found.Swatches, "never half a photograph")
	kept, err := s.Contents(ctx)
	require.NoError(t, err)
	there := map[string]bool{}
	for _, p := range kept.Photos {
		there[p.SHA256] = true
		assert.NotContains(t, a.removed, p.SHA256)
	}
	for hash := range a.photos {
		require.Contains(t, there, hash)
	}
	batches := map[int64]bool{}
	for _, b := range kept.Batches {
		batches[b.ID] = true
		assert.Len(t, b.Colours, len(poured().Colours))
	}
	for id := range a.batches {
		require.Contains(t, batches, id)
	}
	require.NoError(t, s.Close())
}

// A process is killed at a random moment while it records, learns, logs and
// removes: what it acknowledged is there, photographs and rows agree, and the
// store is sound. Kill -9 leaves the system's own cache of the disk whole, so
// this says nothing of power cuts; see TestEveryConnectionHasItsSettings.
func TestKilledWhileWriting(t *testing.T) {
	kills := 25
	if wanted := os.Getenv(killsWanted); wanted != "" {
		var err error
		kills, err = strconv.Atoi(wanted)
		require.NoError(t, err)
	}
	random := rand.New(rand.NewPCG(9, 11))
	const perStore = 50 // so that the check of each does not grow with all before
	var path string
	var told *acknowledged
	for kill := range kills {
		if kill%perStore == 0 {
			s := stockedStore(t)
			path, told = s.Path(), nothingYet()
			// Nobody else has it open, so that opening must recover it.
			require.NoError(t, s.Close())
		}
		writer, lines := startWriter(t, path)
		for range 1 + random.IntN(6) {
			require.True(t, lines.Scan(), "the writer stopped by itself")
			told.hear(t, lines.Text())
		}
		time.Sleep(time.Duration(random.IntN(4000)) * time.Microsecond)
		require.NoError(t, writer.Process.Kill())
		for lines.Scan() {
			told.hear(t, lines.Text())
		}
		require.Error(t, writer.Wait(), "killed")
		told.compare(t, path)
	}
}

// Two processes write at once and neither loses a word; one is then killed while
// the other goes on.
func TestTwoProcessesAtOnce(t *testing.T) {
	s := stockedStore(t)
	told := nothingYet()
	a, fromA := startWriter(t, s.Path())
	b, fromB := startWriter(t, s.Path())
	hear := func(lines *bufio.Scanner, n int) {
		for range n {
			require.True(t, lines.Scan())
			told.hear(t, lines.Text())
		}
	}
	hear(fromA, 6)
	hear(fromB, 6)
	require.NoError(t, a.Process.Kill())
	hear(fromB, 12)
	require.NoError(t, b.Process.Kill())
	for _, lines := range []*bufio.Scanner{fromA, fromB} {
		for lines.Scan() {
			told.hear(t, lines.Text())
		}
	}
	require.Error(t, a.Wait())
	require.Error(t, b.Wait())
	told.learned = 0 // Of two writers, either may have learned last.
	told.compare(t, s.Path())
}
