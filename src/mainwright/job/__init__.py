"""What a job is: immutable, validated documents."""
