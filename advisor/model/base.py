"""What every model shares: closed to unknown fields, unchangeable once made, text kept within bounds."""

from typing import Annotated

from pydantic import AfterValidator, BaseModel, ConfigDict

from .problems import wrong


class Model(BaseModel):
    """A value that was checked when it was made."""

    model_config = ConfigDict(extra="forbid", frozen=True)


def text(name: str, longest: int, *, shortest: int = 0) -> AfterValidator:
    """Check text that a person typed: trimmed, without control signs, within its length."""
    allowed = f"{shortest} to {longest} characters" if shortest else f"at most {longest} characters"

    def check(value: str) -> str:
        value = "".join(c for c in value if c.isprintable() or c == "\n").strip()
        if len(value) > longest:
            raise wrong(f"{name} has {len(value)} characters", allowed)
        if len(value) < shortest:
            raise wrong(f"{name} is empty", allowed)
        return value

    return AfterValidator(check)


Name = Annotated[str, text("Name", 80, shortest=1)]
Note = Annotated[str, text("Note", 500)]
