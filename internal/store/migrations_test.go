package store

import (
	"crypto/sha256"
	"encoding/hex"
	"testing"

	"github.com/stretchr/testify/assert"
)

// A migration that was released is never edited: stores that went through it
// would have another shape than new ones, and the fixtures of old shapes, which
// are made by it, would not tell.
func TestReleasedMigrationsStayAsTheyWere(t *testing.T) {
	released := []string{
		"c8e7c0b14a8074445cae73bf9f8126955d7a15c7fa824a4f70b075ecc85fe662",
		"033b6340d191470ce3cc002bf1750df25171ed26156acb1f79be7db0434bfe4a",
		"1ac805bac0da5135ad34912f0f19355afc5b7cb8a6c97559f6b3d06a82b01f80",
		"6d8640dc7a1a6c2b1c0375db2cc97b31519a35c3d993275ac64367c73b2ed319",
		"d6a7c1dc1fb24ff2729fbe1878fd9374ded75b354e79056296eb04549253d27e",
		"ba544ab58a05a8a28944f5e1ea1b885cae5d262b1843d640b000a7e5ab7c1bb6",
		"bf40552f452457aa7a1f3d7de5d6bae2181a23a80b830215214c299119d0f97e",
	}
	assert.Len(t, released, releasedShapes, "a released shape has its hash here")
	for i, step := range migrations()[:len(released)] {
		sum := sha256.Sum256([]byte(step))
		assert.Equal(t, released[i], hex.EncodeToString(sum[:]), "version %d: write a new migration instead", i+1)
	}
}
