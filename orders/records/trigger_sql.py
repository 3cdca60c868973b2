"""Statements of the triggers that are the same for every table: what drops them, and PostgreSQL's functions."""

from typing import Final

#: The statements that drop what is there, read from the database itself.
SQLITE_FOUND: Final = "SELECT 'DROP TRIGGER ' || name FROM sqlite_master WHERE type = 'trigger'"
POSTGRES_FOUND: Final = """
SELECT 'DROP FUNCTION ' || oid::regprocedure || ' CASCADE' FROM pg_proc
WHERE pronamespace = current_schema()::regnamespace AND prorettype = 'trigger'::regtype AND proname LIKE 'coldset%'
"""

REFUSE: Final = """
CREATE FUNCTION coldset_refuse() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION '%', TG_ARGV[0] USING ERRCODE = 'restrict_violation';
END $$
"""

REFUSE_UNLESS: Final = """
CREATE FUNCTION coldset_{name}() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF NOT ({unless}) THEN
        RAISE EXCEPTION '{says}' USING ERRCODE = 'restrict_violation';
    END IF;
    IF TG_OP = 'DELETE' THEN
        RETURN OLD;
    END IF;
    RETURN NEW;
END $$
"""

# The shared lock makes a concurrent write of a line wait for the sending, and then fail.
REFUSE_PART: Final = """
CREATE FUNCTION coldset_refuse_part() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
    old_key bigint;
    new_key bigint;
    found text;
BEGIN
    IF TG_OP <> 'INSERT' THEN
        old_key := (to_jsonb(OLD) ->> TG_ARGV[2])::bigint;
    END IF;
    IF TG_OP <> 'DELETE' THEN
        new_key := (to_jsonb(NEW) ->> TG_ARGV[2])::bigint;
    END IF;
    FOR found IN EXECUTE format('SELECT status FROM %I WHERE id IN ($1, $2) FOR SHARE', TG_ARGV[1])
        USING old_key, new_key
    LOOP
        IF found <> 'draft' THEN
            RAISE EXCEPTION '%', TG_ARGV[0] USING ERRCODE = 'restrict_violation';
        END IF;
    END LOOP;
    IF TG_OP = 'DELETE' THEN
        RETURN OLD;
    END IF;
    RETURN NEW;
END $$
"""
