package workshop

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A plan that names the wrong state is told by what was learned of both.
func TestAPlanOfTheWrongStateIsTold(t *testing.T) {
	ctx := context.Background()
	b := potBench(t, 9)
	doses := []float64{0.05, 0.15, 0.3}
	wet := b.liquid(0, doses, doses)
	r, err := b.Read(ctx, wet)
	require.NoError(t, err)
	assert.False(t, hasNote(r.Notes, "by the plan, but look"), r.Notes)
	wet.PlanText = strings.Replace(wet.PlanText, "state liquid", "state set", 1)
	r, err = b.Read(ctx, wet)
	require.NoError(t, err)
	assert.True(t, hasNote(r.Notes, "the drops are set by the plan, but look liquid: "), r.Notes)

	dry, _ := b.photograph(false, nil, b.one(1, 0.1), b.one(1, 0.4), b.one(1, 1))
	r, err = b.Read(ctx, dry)
	require.NoError(t, err)
	assert.False(t, hasNote(r.Notes, "by the plan, but look"), r.Notes)
	dry.PlanText = strings.Replace(dry.PlanText, "state set", "state liquid", 1)
	r, err = b.Read(ctx, dry)
	require.NoError(t, err)
	assert.True(t, hasNote(r.Notes, "the drops are liquid by the plan, but look set: "), r.Notes)
}
