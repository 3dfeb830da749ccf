package postgres

import (
	"context"
	"errors"
	"io"
	"net"

	"github.com/jackc/pgx/v5/pgconn"

	"wattle/internal/fault"
)

// SQLSTATE codes this package acts on [PostgreSQL documentation, appendix A].
const (
	duplicateObject       = "42710"
	undefinedTable        = "42P01"
	insufficientPrivilege = "42501"
	uniqueViolation       = "23505"
	queryCanceled         = "57014"
	readOnly              = "25006"
	diskFull              = "53100"
)

// byConstraint says what breaking a constraint means, by its name.
var byConstraint = map[string]func(cause error) *fault.Error{
	"quote_pkey": func(cause error) *fault.Error {
		return fault.Wrap(cause, fault.AlreadyExists, "QUOTE_EXISTS", "a quote with this id exists already")
	},
	"company_pkey": func(cause error) *fault.Error {
		return fault.Wrap(cause, fault.AlreadyExists, "COMPANY_EXISTS", "there is a company with this id already")
	},
	"office_pkey": func(cause error) *fault.Error {
		return fault.Wrap(cause, fault.AlreadyExists, "OFFICE_EXISTS", "there is an office with this id already")
	},
	"customer_pkey": func(cause error) *fault.Error {
		return fault.Wrap(cause, fault.AlreadyExists, "CUSTOMER_EXISTS", "a customer with this id exists already, or was erased")
	},
	// These decisions are taken under a lock; a constraint is what is left where
	// that fails.
	"quote_transition_pkey":    quoteMoved,
	"quote_state_revises_key":  quoteMoved,
	"quote_state_accepted_key": quoteMoved,
	"quote_state_revision_key": quoteMoved,
}

// byCode says what an SQLSTATE means; where it has no row, its class (the
// first two characters) may.
var byCode = map[string]func(cause error) *fault.Error{
	"08": unavailable, // connection exception
	"53": unavailable, // insufficient resources: connections, memory
	diskFull: func(cause error) *fault.Error {
		return fault.Wrap(cause, fault.Unavailable, "DATABASE_FULL", "the database has no room on its disk; nothing was stored; try again later")
	},
	"57":     unavailable, // operator intervention: shutdown, crash, starting up
	"58030":  unavailable, // an input or output that failed
	"25P03":  unavailable, // a transaction ended since it idled too long
	readOnly: unavailable, // read only: a standby, or one being promoted
	"22021":  unstorable,  // character not in repertoire: NUL in a text
	"40001":  giveWay,     // serialization failure
	"40P01":  giveWay,     // deadlock
	queryCanceled: func(cause error) *fault.Error { // by statement_timeout; a caller's own deadline is seen before
		return fault.Wrap(cause, fault.DeadlineExceeded, "DEADLINE_EXCEEDED", "the database's time limit passed")
	},
}

func quoteMoved(cause error) *fault.Error {
	return fault.Wrap(cause, fault.Conflict, "QUOTE_MOVED", "the quote, or one beside it, was changed at the same time; read it again")
}

func unavailable(cause error) *fault.Error {
	return fault.Wrap(cause, fault.Unavailable, "DATABASE_UNAVAILABLE", "the database cannot be used at the moment; try again")
}

func unstorable(cause error) *fault.Error {
	return fault.Wrap(cause, fault.Invalid, "TEXT_NOT_STORABLE", "a text holds a character that cannot be stored, such as NUL")
}

func giveWay(cause error) *fault.Error {
	return fault.Wrap(cause, fault.Unavailable, "DATABASE_BUSY", "the call gave way to another one; try again")
}

// translate turns a driver's error into our vocabulary; our own errors pass.
// The driver's text stays a cause, for the log.
func translate(ctx context.Context, err error) error {
	if err == nil {
		return nil
	}
	if _, ok := errors.AsType[*fault.Error](err); ok {
		return err
	}
	// A cancelled query is reported in several ways; the context knows why. An end
	// that is not the caller's is ours, of making a connection.
	switch {
	case ctx.Err() == nil && noConnection(err):
		return unavailable(err)
	case errors.Is(ctx.Err(), context.DeadlineExceeded), errors.Is(err, context.DeadlineExceeded):
		return fault.Wrap(err, fault.DeadlineExceeded, "DEADLINE_EXCEEDED", "the deadline passed before the database answered")
	case errors.Is(ctx.Err(), context.Canceled), errors.Is(err, context.Canceled):
		return fault.Wrap(err, fault.Canceled, "CANCELED", "the caller cancelled the call")
	}
	if e, ok := errors.AsType[*pgconn.PgError](err); ok {
		for _, meaning := range []func(error) *fault.Error{byConstraint[e.ConstraintName], byCode[e.Code], byCode[e.Code[:min(2, len(e.Code))]]} {
			if meaning != nil {
				return meaning(err)
			}
		}
		return internal(err)
	}
	if lostConnection(err) {
		return unavailable(err)
	}
	return internal(err)
}

func internal(cause error) *fault.Error {
	return fault.Wrap(cause, fault.Internal, "DATABASE_ERROR", "the database refused what it was asked; the log says why")
}

// noConnection: it could not be made, whatever the reason: nobody answers, or the
// database has no place left, or does not know us any more.
func noConnection(err error) bool {
	_, ok := errors.AsType[*pgconn.ConnectError](err)
	return ok
}

func lostConnection(err error) bool {
	if _, ok := errors.AsType[net.Error](err); ok {
		return true
	}
	return pgconn.SafeToRetry(err) || errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, net.ErrClosed)
}

// sqlState is the code of a database error, "" of any other.
func sqlState(err error) string {
	if e, ok := errors.AsType[*pgconn.PgError](err); ok {
		return e.Code
	}
	return ""
}
