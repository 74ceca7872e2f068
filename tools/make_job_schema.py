"""Write the published JSON Schema of the job file from the models."""

from pathlib import Path

from wetside.jobfile.publish import schema_text

TARGET = Path(__file__).parents[1] / "src" / "wetside" / "jobfile" / "job.schema.json"


def main() -> None:
    TARGET.write_text(schema_text(), encoding="utf-8")


if __name__ == "__main__":
    main()
