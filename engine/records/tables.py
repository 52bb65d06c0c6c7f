"""The tables of the database, as the latest migration leaves them."""

from sqlalchemy import (
    JSON,
    Column,
    DateTime,
    ForeignKey,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
)

METADATA = MetaData()

VISITS = Table(
    "visits",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("title", String(200), nullable=False),
    Column("begun", DateTime, nullable=False),
    Column("knowledge", String(40), nullable=False),
)

EVENTS = Table(
    "events",
    METADATA,
    Column("visit", ForeignKey("visits.id"), primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("at", DateTime, nullable=False),
    Column("body", JSON, nullable=False),
)

KIT = Table(
    "kit",
    METADATA,
    Column("instrument", String(80), primary_key=True),
    Column("of_reading", String(64), nullable=False),
    Column("at_least", String(64), nullable=False),
)

CUSTOMERS = Table(
    "customers",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("name", String(200), nullable=False),
    Column("address", String(300), nullable=False),
    Column("phone", String(60), nullable=False),
    Column("mail", String(120), nullable=False),
    Column("note", Text, nullable=False),
    Column("added", DateTime, nullable=False),
)

BOILERS = Table(
    "boilers",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("customer", ForeignKey("customers.id"), nullable=True),
    Column("name", String(200), nullable=False),
    Column("place", String(300), nullable=False),
    Column("sheet", JSON, nullable=False),
    Column("added", DateTime, nullable=False),
)

WHERE = Table(  # beside the visits, so that a visit's own row is written once
    "visit_where",
    METADATA,
    Column("visit", ForeignKey("visits.id"), primary_key=True),
    Column("boiler", ForeignKey("boilers.id"), nullable=True),
    Column("customer", ForeignKey("customers.id"), nullable=True),
)

PHOTOS = Table(
    "photos",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("visit", ForeignKey("visits.id"), nullable=False),
    Column("event", Integer, nullable=True),
    Column("at", DateTime, nullable=False),
    Column("media", String(40), nullable=False),
    Column("picture", LargeBinary, nullable=False),
    Column("words", String(300), nullable=False),
    Column("step", String(80), nullable=True),
)

SETTINGS = Table(
    "settings",
    METADATA,
    Column("name", String(80), primary_key=True),
    Column("value", JSON, nullable=False),
)
