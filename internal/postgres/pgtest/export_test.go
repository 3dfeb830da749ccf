package pgtest

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"
)

// Join makes this process a user of the server its environment asks for.
func Join() (url, how string, keeper int, err error) {
	a, err := waysFromEnvironment().find()
	return a.URL, a.How, a.Keeper, err
}

// DropOld is what every process does first.
func DropOld(ctx context.Context, conn *pgx.Conn) error {
	return dropOld(ctx, conn, time.Now().Add(-keepCopies))
}

// RemoveStale is what a keeper does before it starts a container.
var RemoveStale = removeStale

// Label marks a container with the folder of its keeper.
const Label = label
